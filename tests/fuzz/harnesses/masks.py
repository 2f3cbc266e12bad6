"""Limit masks, as text."""

from __future__ import annotations

import math

from logbook.core.errors import SignalError
from logbook.core.signals import parse_mask

SEEDS = [
    b"20, -0.5, 0.5\n20000, -0.5, 0.5\n",
    b"f,low,high\n10;-;-3\n100;-60;-\n# interpolation: linear\n",
    b"interpolation = log\n1e3\t-1\t1\n1e4\tnone\t2\n",
]


def read(data: bytes) -> None:
    """Read the text; positions of a mask are finite and rise, and a lower limit is below the upper."""
    try:
        mask = parse_mask(data.decode("utf-8", "surrogateescape"))
    except SignalError:
        return
    positions = [position for position, _, _ in mask.rows]
    assert all(map(math.isfinite, positions))
    assert positions == sorted(positions)
    assert all(low is None or high is None or low <= high for _, low, high in mask.rows)
