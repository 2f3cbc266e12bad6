"""Parts of a formula with their tolerances, as JSON."""

from __future__ import annotations

import json
import math

from logbook.core.errors import CoreError
from logbook.core.tolerance import parse_part

SEEDS = [
    b'{"nominal": "0.8 V", "tolerance": "+2 % / -1.5 %"}',
    b'{"nominal": "4k7", "tolerance": "1 %", "tempco": "50 ppm/K", "temperature": {"low": -20, "high": 70}}',
    b'{"low": "9.9", "high": "10.1", "unit": "kHz"}',
    b'"4k7J"',
    b"3.3",
]


def read(data: bytes) -> None:
    """Read what JSON can say; the ends of a part are finite and lie around its nominal."""
    try:
        given = json.loads(data)
    except (ValueError, RecursionError):
        return
    try:
        part = parse_part("r1", given)
    except CoreError:
        return
    assert part.low <= part.nominal <= part.high
    assert math.isfinite(part.low)
    assert math.isfinite(part.high)
