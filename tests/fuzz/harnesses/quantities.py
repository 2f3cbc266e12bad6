"""Numbers with units, and markings of parts."""

from __future__ import annotations

from logbook.core.errors import CoreError
from logbook.core.quantities import (
    as_unit,
    format_quantity,
    parse_difference,
    parse_marked_value,
    parse_number,
    parse_quantity,
)
from logbook.core.quantities.decimals import LARGEST_EXPONENT

SEEDS = [
    b"3.298 V",
    b"4k7J",
    b"-98 dBV",
    b"12.288 MHz",
    b"100nK",
    "−1e-9 µF".encode(),
    b"25 %",
    b"3V3",
]
UNITS = (None, "V", "mV", "Ω", "°C", "dBV", "%", "")
KINDS = ("resistance", "capacitance", "time")


def read(data: bytes) -> None:
    """Read the text in every way there is; what is read has finite digits and can be written."""
    text = data.decode("utf-8", "surrogateescape")
    for unit in UNITS:
        try:
            found = parse_quantity(text, unit=unit)
        except CoreError:
            continue
        assert found.value.is_finite()
        # A prefix may carry a plain number past what is written; a zero never.
        if found.value.is_zero() or abs(found.value.adjusted()) <= LARGEST_EXPONENT:
            assert format_quantity(found.value, found.unit)
        assert unit is None or found.to(unit).is_finite()
    for kind in KINDS:
        try:
            marked = parse_marked_value(text, kind)
        except CoreError:
            continue
        assert marked.low is None or marked.high is None or marked.low <= marked.value <= marked.high
    try:
        assert parse_number(text).is_finite()
        assert parse_difference(text, as_unit("V"), share_of=parse_number("3.3")).is_finite()
    except CoreError:
        return
