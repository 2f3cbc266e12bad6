"""Turns rows of the bench into core values and back."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache

from logbook.bench.choices import Outcome
from logbook.bench.models import InstrumentRange, Measurement, TargetIssue
from logbook.core.limits import Limits, parse_limits
from logbook.core.quantities import Unit, convert, unit_named
from logbook.core.uncertainty import Accuracy, UncertaintyResult, evaluate_reading
from logbook.core.verdict import (
    Judgement,
    Verdict,
    judge_count,
    judge_number,
    judge_yes_no,
    usual_floor,
)


@lru_cache(maxsize=4096)
def _limits(text: str, unit: str, nominal: str) -> Limits:
    return parse_limits(text, unit=unit or None, nominal=nominal or None)


def limits_of(issue: TargetIssue) -> Limits | None:
    """Return the limits of an issue; none for a target that is only seen working."""
    return _limits(issue.limits_text, issue.unit, issue.nominal) if issue.limits_text else None


def judgement_of(issue: TargetIssue, measurement: Measurement) -> Judgement:
    """Judge a stored reading by ``issue``, which need not be the one it was first judged by.

    Raises
    ------
    CoreError
        The reading's unit cannot be compared with the limits.
    """
    return judgement_of_read(
        issue,
        outcome=measurement.outcome,
        value=decimal_kept(measurement.value),
        trials=measurement.trials,
        unit=unit_named(measurement.unit),
        stated=(
            decimal_kept(measurement.expanded_uncertainty),
            decimal_kept(measurement.coverage_factor),
            measurement.degrees_of_freedom,
        ),
    )


Stated = tuple[Decimal | None, Decimal | None, float | None]


def judgement_of_read(
    issue: TargetIssue,
    *,
    outcome: str,
    value: Decimal | None,
    trials: int | None,
    unit: Unit,
    stated: Stated,
) -> Judgement:
    """Judge what was read by ``issue``; value and U, the first ``stated`` beside k and degrees, in ``unit``.

    Raises
    ------
    CoreError
        The reading's unit cannot be compared with the limits.
    """
    limits = limits_of(issue)
    if outcome == Outcome.NOT_WORKING:
        return _without_number("seen not working", Verdict.FAIL)
    if value is None or limits is None:
        return _without_number(f"{outcome}: no number to judge", None)
    if limits.kind == "yes_no":
        return judge_yes_no(limits, value == 1)
    if limits.kind == "count":
        return judge_count(limits, int(value), trials)
    expanded, factor, degrees_of_freedom = stated
    value = convert(value, unit, limits.unit)
    return judge_number(
        limits,
        value,
        expanded_uncertainty=None if expanded is None else convert(expanded, unit, limits.unit),
        coverage_factor=factor,
        degrees_of_freedom=degrees_of_freedom,
        rule=issue.rule,
        floor=usual_floor(limits, value),
    )


def decimal_kept(text: str) -> Decimal | None:
    """Return a number as it is kept in the table; none for empty text."""
    return Decimal(text) if text else None


@lru_cache(maxsize=1024)
def _unit_called(symbol: str) -> Unit:
    return unit_named(symbol)


def base_unit_of(unit: Unit) -> Unit:
    """Return the unit to which this one converts."""
    return unit if unit.symbol == unit.base else _unit_called(unit.base)


def base_value_of(measurement: Measurement) -> float | None:
    """Return the value in the base unit; none for a reading without a number."""
    if not measurement.value:
        return None
    unit = unit_named(measurement.unit)
    return float(convert(Decimal(measurement.value), unit, unit_named(unit.base)))


def _without_number(reason: str, verdict: Verdict | None) -> Judgement:
    return Judgement(
        verdict=verdict,
        reason=reason,
        rule="none",
        low=None,
        high=None,
        unit="",
        conformance_probability=None,
        margin=None,
        margin_percent=None,
        test_uncertainty_ratio=None,
        decidable=True,
        deciding_uncertainty=None,
    )


def accuracy_of(instrument_range: InstrumentRange, unit: Unit) -> Accuracy:
    """Return what a range states about its accuracy, in ``unit``."""
    own = unit_named(instrument_range.unit)

    def scaled(text: str) -> Decimal | None:
        return convert(Decimal(text), own, unit) if text else None

    def plain(text: str) -> Decimal | None:
        return Decimal(text) if text else None

    return Accuracy(
        percent_of_reading=plain(instrument_range.percent_of_reading),
        percent_of_range=plain(instrument_range.percent_of_range),
        range_value=scaled(instrument_range.full_scale),
        counts=plain(instrument_range.counts),
        resolution=scaled(instrument_range.resolution),
        absolute=None,
    )


def evaluation_of_reading(
    value: Decimal, unit: Unit, *, repeats: Sequence[Decimal], instrument_range: InstrumentRange | None
) -> UncertaintyResult | None:
    """Return what the accuracy of a range and the repeats make of a reading; none where neither tells.

    Repeats that all agree show no scatter, which is not to say that there is none: alone they tell nothing.

    Raises
    ------
    CoreError
        The range states nothing that can be used.
    """
    if instrument_range is None and len(set(repeats)) < 2:
        return None
    accuracy = accuracy_of(instrument_range, unit) if instrument_range else None
    return evaluate_reading(value, accuracy, repeats=repeats)
