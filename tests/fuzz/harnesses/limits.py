"""Limits of targets."""

from __future__ import annotations

from logbook.core.errors import CoreError
from logbook.core.limits import format_limits, parse_limits
from logbook.core.quantities.spelling import LONGEST_TEXT

SEEDS = [
    "3.3 V ± 5 %".encode(),
    b"4.75 V to 5.25 V",
    b">= 90 dB",
    b"<=20 mV",
    b"0 errors",
    b"100 of 100",
    b"95 to 99 of 100",
    b"yes",
    b"5 V +10 % / -5 %",
    "-12 V ± 100 mV".encode(),
]
UNITS = (None, "V", "Ω", "°C", "%")


def read(data: bytes) -> None:
    """Read the text; limits that are short enough when written read back as the same bounds."""
    text = data.decode("utf-8", "surrogateescape")
    for unit in UNITS:
        for nominal in (None, "3.3"):
            try:
                found = parse_limits(text, unit=unit, nominal=nominal)
            except CoreError:
                continue
            written = format_limits(found)
            if len(written) > LONGEST_TEXT:
                continue
            again = parse_limits(written)
            assert (again.kind, again.low, again.high, again.trials, again.expected) == (
                found.kind,
                found.low,
                found.high,
                found.trials,
                found.expected,
            )
