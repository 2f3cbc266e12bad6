"""Which instrument at hand would decide a reading that no instrument used so far could."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from logbook.bench.models import InstrumentRange, TargetIssue
from logbook.bench.queries.calibration import calibration_record
from logbook.bench.translate import evaluation_of_reading, limits_of
from logbook.common import clock
from logbook.core.errors import CoreError
from logbook.core.limits import Limits
from logbook.core.quantities import Unit, convert, unit_named
from logbook.core.verdict import judge_number, usual_floor
from logbook.planning.translate import ShownReading


@dataclass(frozen=True)
class RangesAtHand:
    """The ranges of the instruments there are, those in calibration first, and what is said of the others."""

    ranges: Sequence[InstrumentRange]
    overdue: Mapping[int, str]

    def named(self, one: InstrumentRange) -> str:
        """Return the instrument of a range, and whether its calibration has run out."""
        told = self.overdue.get(one.instrument_id, "")
        return f"{one.instrument.name} ({told})" if told else one.instrument.name


def ranges_at_hand() -> RangesAtHand:
    """Return the ranges of every instrument not retired. Two queries."""
    rows = list(
        InstrumentRange.objects.filter(instrument__retired=False)
        .select_related("instrument")
        .order_by("instrument__name", "id")
    )
    today = timezone.localdate(clock.now())
    record = calibration_record({row.instrument_id for row in rows}, until=today)
    flags = {pk: record.flag_on(pk, today) for pk in record.by_instrument}
    overdue = {pk: f"out of calibration since {flag.due:%Y-%m-%d}" for pk, flag in flags.items() if flag}
    return RangesAtHand(sorted(rows, key=lambda row: row.instrument_id in overdue), overdue)


def deciding_instrument(issue: TargetIssue, readings: Iterable[ShownReading], at_hand: RangesAtHand) -> str:
    """Name an instrument whose accuracy would decide any of the readings; empty for none.

    One in calibration goes before one whose date has passed, and the latter says so.
    """
    limits = limits_of(issue)
    if limits is None or limits.kind != "number":
        return ""
    for reading in readings:
        if not reading.value:
            continue
        value = convert(Decimal(reading.value), unit_named(reading.unit), limits.unit)
        for one in at_hand.ranges:
            if _decides(limits, value, issue.rule, one):
                return at_hand.named(one)
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
