"""The uncertainty budget of a stored reading, worked out anew from what is kept of it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from logbook.bench.choices import Outcome
from logbook.bench.models import Measurement
from logbook.bench.translate import evaluation_of_reading
from logbook.core.errors import CoreError
from logbook.core.quantities import unit_named
from logbook.core.uncertainty import Contribution, TypeA, UncertaintyResult, type_a

STATED = "stated"
INSTRUMENT = "instrument"


@dataclass(frozen=True)
class Budget:
    """How the uncertainty of a reading comes about, in its unit.

    ``lines`` is empty where it was stated as a whole, or where ``missing`` says why it cannot be worked
    out anew. ``agrees`` compares the recomputation with what is kept. ``scatter`` describes the repeats.
    """

    source: str
    lines: tuple[Contribution, ...]
    standard_uncertainty: float | None
    effective_degrees_of_freedom: float | None
    coverage_factor: str
    expanded_uncertainty: str
    scatter: TypeA | None
    missing: str
    agrees: bool

    @property
    def is_stated(self) -> bool:
        """Say whether the uncertainty was given and not worked out."""
        return self.source == STATED

    @property
    def lacks_instrument(self) -> bool:
        """Say whether only the scatter of repeats is in it."""
        return self.source == "repeats"

    @property
    def is_below_scatter(self) -> bool:
        """Say whether a stated uncertainty is smaller than the scatter of the repeats alone."""
        if not self.is_stated or self.scatter is None or self.standard_uncertainty is None:
            return False
        return self.standard_uncertainty < self.scatter.standard_uncertainty


def budget_of(measurement: Measurement) -> Budget | None:
    """Return the budget; none for a reading with neither an uncertainty nor repeats. Costs no query."""
    if measurement.outcome != Outcome.NUMBER or not (measurement.expanded_uncertainty or measurement.repeats):
        return None
    result, missing = _recomputed(measurement)
    factor, expanded = measurement.coverage_factor, measurement.expanded_uncertainty
    return Budget(
        source=measurement.uncertainty_from,
        lines=result.budget if result else (),
        standard_uncertainty=float(Decimal(expanded) / Decimal(factor)) if expanded and factor else None,
        effective_degrees_of_freedom=measurement.degrees_of_freedom,
        coverage_factor=factor,
        expanded_uncertainty=expanded,
        scatter=_scatter(measurement),
        missing=missing,
        agrees=result is None or _is_as_kept(measurement, result),
    )


def uncertainty_discrepancy(measurement: Measurement) -> tuple[str, str] | None:
    """Return what is kept and what a recomputation gives, where the two differ."""
    try:
        result, _ = _recomputed(measurement)
    except CoreError as error:
        return measurement.expanded_uncertainty, f"unreadable: {error}"
    if result is None or _is_as_kept(measurement, result):
        return None
    kept = f"U = {measurement.expanded_uncertainty}, k = {measurement.coverage_factor}"
    return kept, f"U = {result.expanded_uncertainty}, k = {result.coverage_factor:.6f}"


def _recomputed(measurement: Measurement) -> tuple[UncertaintyResult | None, str]:
    """Return the evaluation, or why there is none.

    Stating the ranges of an instrument anew takes the old ones away; a reading that still knows its
    range was evaluated with exactly that.
    """
    source = measurement.uncertainty_from
    if source in ("", STATED):
        return None, ""
    if source == INSTRUMENT and measurement.instrument_range is None:
        return None, "the ranges of the instrument were changed or removed since; this is what was kept"
    chosen = measurement.instrument_range if source == INSTRUMENT else None
    repeats = [Decimal(value) for value in measurement.repeats]
    unit = unit_named(measurement.unit)
    value = Decimal(measurement.value)
    return evaluation_of_reading(value, unit, repeats=repeats, instrument_range=chosen), ""


def _is_as_kept(measurement: Measurement, result: UncertaintyResult) -> bool:
    return (
        Decimal(measurement.expanded_uncertainty or 0) == result.expanded_uncertainty
        and Decimal(measurement.coverage_factor or 0) == Decimal(str(round(result.coverage_factor, 6)))
        and measurement.degrees_of_freedom == result.effective_degrees_of_freedom
    )


def _scatter(measurement: Measurement) -> TypeA | None:
    if not measurement.repeats:
        return None
    return type_a([float(value) for value in measurement.repeats])
