"""A reading and its uncertainty in a few signs, as pages write them."""

from __future__ import annotations

from decimal import Decimal

from logbook.bench.choices import Outcome
from logbook.bench.models import Measurement
from logbook.core.quantities import format_quantity, unit_named
from logbook.planning.translate import ShownReading

Reading = Measurement | ShownReading


def shown_value(reading: Reading) -> str:
    """Return the number with its unit once, whether or not it was typed with it; a word as typed."""
    if reading.outcome == Outcome.NUMBER:
        return f"{reading.value} {reading.unit}".rstrip()
    return reading.text


def shown_uncertainty(reading: Reading) -> str:
    """Return the expanded uncertainty to two digits with its unit; empty where none is stated."""
    if not reading.expanded_uncertainty:
        return ""
    unit = unit_named(reading.unit)
    # Levels in dBm differ by decibels, not by a level of so many dBm.
    of_difference = "dB" if unit.logarithmic else unit
    return format_quantity(Decimal(reading.expanded_uncertainty), of_difference, digits=2)
