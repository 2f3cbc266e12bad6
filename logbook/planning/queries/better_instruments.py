"""Which instrument at hand would decide a reading that no instrument used so far could."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from logbook.bench.models import InstrumentRange, TargetIssue
from logbook.bench.translate import evaluation_of_reading, limits_of
from logbook.core.errors import CoreError
from logbook.core.limits import Limits
from logbook.core.quantities import Unit, convert, unit_named
from logbook.core.verdict import judge_number, usual_floor
from logbook.planning.translate import ShownReading


def ranges_at_hand() -> list[InstrumentRange]:
    """Return the ranges of every instrument not retired. One query."""
    return list(
        InstrumentRange.objects.filter(instrument__retired=False)
        .select_related("instrument")
        .order_by("instrument__name", "id")
    )


def deciding_instrument(
    issue: TargetIssue, readings: Iterable[ShownReading], ranges: Sequence[InstrumentRange]
) -> str:
    """Return the name of an instrument whose accuracy would decide any of the readings; empty for none."""
    limits = limits_of(issue)
    if limits is None or limits.kind != "number":
        return ""
    for reading in readings:
        if not reading.value:
            continue
        value = convert(Decimal(reading.value), unit_named(reading.unit), limits.unit)
        for one in ranges:
            if _decides(limits, value, issue.rule, one):
                return one.instrument.name
    return ""


def _decides(limits: Limits, value: Decimal, rule: str, instrument_range: InstrumentRange) -> bool:
    own = unit_named(instrument_range.unit)
    if own.base != limits.unit.base or not _holds(instrument_range, own, limits.unit, value):
        return False
    try:
        stated = evaluation_of_reading(value, limits.unit, repeats=(), instrument_range=instrument_range)
    except CoreError:
        return False
    return (
        stated is not None
        and judge_number(
            limits,
            value,
            expanded_uncertainty=stated.expanded_uncertainty,
            rule=rule,
            floor=usual_floor(limits, value),
        ).decidable
    )


def _holds(instrument_range: InstrumentRange, own: Unit, unit: Unit, value: Decimal) -> bool:
    return convert(Decimal(instrument_range.full_scale), own, unit) >= abs(value)
