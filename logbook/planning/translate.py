"""Turns targets and current results into the facts and the evidence the core decides on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from logbook.bench.choices import Outcome
from logbook.bench.models import Target, TargetIssue
from logbook.core.quantities import convert, unit_named
from logbook.core.state import CellEvidence, TargetFacts

OUTCOME_WORDS = {Outcome.YES_NO.value: "yes_no"}


class ShownReading(NamedTuple):
    """What pages and rules need of a reading; the names are those of ``Measurement``."""

    id: int
    outcome: str
    text: str
    value: str
    unit: str
    value_base: float | None
    uncertainty_base: float | None
    expanded_uncertainty: str
    coverage_factor: str
    trials: int | None
    taken_at: datetime
    instrument_id: int | None


class CellResult(NamedTuple):
    """The current result of one (target, board, point); ``designed`` is none when nothing counts."""

    target_id: int
    board: str
    point: str
    found: ShownReading
    found_verdict: str
    found_undecidable: bool
    not_counted: str
    designed: ShownReading | None
    designed_verdict: str
    designed_undecidable: bool


def facts_of(
    target: Target,
    issue: TargetIssue,
    *,
    option_not_fitted: str,
    decided_not_applicable: str,
    needs: Sequence[str],
) -> TargetFacts:
    """Return what an issue of a target asks, in the base unit."""
    unit = unit_named(issue.unit)
    low, high, nominal = _in_base(issue.low, issue.high, issue.nominal, issue.unit)
    return TargetFacts(
        key=target.key,
        subsystem=target.subsystem.key,
        points=tuple(issue.points),
        boards_needed=issue.boards_needed,
        kind=issue.kind,
        low=low,
        high=high,
        nominal=nominal,
        logarithmic=unit.logarithmic,
        option_not_fitted=option_not_fitted,
        decided_not_applicable=decided_not_applicable,
        prerequisites=tuple(needs),
        unit=unit_named(unit.base).symbol,
        limits_text=issue.limits_text,
    )


@lru_cache(maxsize=4096)
def _in_base(
    low: str, high: str, nominal: str, symbol: str
) -> tuple[float | None, float | None, float | None]:
    """Return limits and nominal in the base unit; the same few texts come again with every revision."""
    unit = unit_named(symbol)
    base = unit_named(unit.base)

    def converted(text: str) -> float | None:
        return float(convert(Decimal(text), unit, base)) if text else None

    return converted(low), converted(high), converted(nominal)


def evidence_of(cells: Iterable[CellResult]) -> list[CellEvidence]:
    """Return the as-designed evidence of the cells of one target."""
    return [_counted(cell, cell.designed) if cell.designed else _uncounted(cell) for cell in cells]


def _counted(cell: CellResult, reading: ShownReading) -> CellEvidence:
    return CellEvidence(
        board=cell.board,
        point=cell.point,
        verdict=cell.designed_verdict or None,
        value=reading.value_base,
        standard_uncertainty=reading.uncertainty_base,
        undecidable=cell.designed_undecidable,
        outcome=OUTCOME_WORDS.get(reading.outcome, reading.outcome),
        text=f"{reading.value} {reading.unit}".strip() if reading.outcome == Outcome.NUMBER else reading.text,
    )


def _uncounted(cell: CellResult) -> CellEvidence:
    return CellEvidence(
        board=cell.board,
        point=cell.point,
        verdict=None,
        value=None,
        standard_uncertainty=None,
        undecidable=False,
        outcome="inconclusive",
        counts=False,
        not_counted=cell.not_counted,
    )
