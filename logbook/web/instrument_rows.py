"""Instruments as the pages show them: when each is due, and what a range means for a reading."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.forms.formsets import BaseFormSet
from django.utils import timezone

from logbook.bench.models import Calibration, Instrument, InstrumentRange
from logbook.bench.queries.instruments import CalibrationStanding, calibration_standing
from logbook.bench.queries.lists import instruments
from logbook.bench.translate import accuracy_of
from logbook.common import clock
from logbook.core.quantities import format_quantity, unit_named
from logbook.core.uncertainty import evaluate_reading
from logbook.web.forms.instruments import RangeForm

ACCURACY = ("percent_of_reading", "percent_of_range", "counts", "resolution")
RANGE_FIELDS = ("name", "full_scale", "unit", *ACCURACY, "conditions")


@dataclass(frozen=True)
class InstrumentLine:
    """One instrument of the list."""

    instrument: Instrument
    standing: CalibrationStanding
    last: Calibration | None
    range_count: int


@dataclass(frozen=True)
class RangeExample:
    """What a range states, and what that means for a reading at half of it."""

    range: InstrumentRange
    states: str
    reading: str
    bound: str
    expanded: str


def site_today() -> date:
    """Return today in the time zone of the site."""
    return timezone.localtime(clock.now()).date()


def instrument_lines() -> tuple[InstrumentLine, ...]:
    """Return every instrument with its standing. Three queries."""
    today = site_today()
    return tuple(
        InstrumentLine(
            instrument=instrument,
            standing=calibration_standing(instrument, today),
            last=next(reversed(instrument.calibrations.all()), None),
            range_count=len(instrument.ranges.all()),
        )
        for instrument in instruments()
    )


def worked_out(one: InstrumentRange) -> RangeExample:
    """Work out bound and expanded uncertainty of a reading at half scale."""
    unit = unit_named(one.unit)
    half = Decimal(one.full_scale) / 2
    accuracy = accuracy_of(one, unit)
    expanded = evaluate_reading(half, accuracy).expanded_uncertainty
    return RangeExample(
        range=one,
        states=accuracy_in_words(one),
        reading=format_quantity(half, unit),
        bound=f"± {format_quantity(accuracy.bound(half), unit)}" if accuracy.bounds_the_reading else "none",
        expanded=format_quantity(expanded, unit),
    )


def accuracy_in_words(one: InstrumentRange) -> str:
    """Return the statement of a range the way makers print it."""
    parts = []
    if one.percent_of_reading:
        parts.append(f"{one.percent_of_reading} % of reading")
    if one.percent_of_range:
        parts.append(f"{one.percent_of_range} % of range")
    if one.counts:
        parts.append(f"{one.counts} counts of {one.resolution} {one.unit}")
    words = "± (" + " + ".join(parts) + ")" if parts else "no bound stated"
    return words if one.counts or not one.resolution else f"{words}, resolution {one.resolution} {one.unit}"


def stated_ranges(rows: BaseFormSet[RangeForm]) -> list[dict[str, str]]:
    """Return the rows that are filled in and not marked to be removed."""
    return [
        {name: row.cleaned_data[name] for name in RANGE_FIELDS}
        for row in rows.forms
        if row.cleaned_data and row not in rows.deleted_forms
    ]


def ranges_as_typed(instrument: Instrument) -> list[dict[str, str]]:
    """Return the rows to fill the form with."""
    return [{name: getattr(one, name) for name in RANGE_FIELDS} for one in instrument.ranges.all()]
