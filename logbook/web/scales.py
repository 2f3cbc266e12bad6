"""Which stretch of values a limit strip shows, and where on it a value lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol

from logbook.core.limits import Limits

# Room beyond each limit, as a share of the width between two limits.
BESIDE = 0.25
# Room beyond a single limit, as a share of what is shown inside of it.
BEYOND_ONE = 0.35
# Values further inside a single limit than this many times its size are drawn as lying outside the picture.
FARTHEST = 20.0


class Valued(Protocol):
    """A reading with its uncertainty, in the unit of the limits."""

    @property
    def value(self) -> Decimal:
        """Return the value."""

    @property
    def expanded_uncertainty(self) -> Decimal | None:
        """Return its expanded uncertainty, where one is stated."""


@dataclass(frozen=True)
class Scale:
    """A linear scale from ``low`` at the left edge to ``high`` at the right one."""

    low: float
    high: float
    width: int

    def x(self, value: float) -> float:
        """Return the place of ``value``, held inside the picture."""
        share = (value - self.low) / (self.high - self.low)
        return round(min(1.0, max(0.0, share)) * self.width, 2)

    def sign(self, value: float) -> tuple[float, int]:
        """Return the place of ``value`` and on which side it lies outside: -1, 0 or 1."""
        beyond = -1 if value < self.low else 1 if value > self.high else 0
        return self.x(value), beyond


def scale_for(limits: Limits, reading: Valued | None, others: Sequence[float], *, width: int) -> Scale:
    """Return the scale that shows the limits and, as far as sensible, every value.

    Two limits fill two thirds of the picture. Beside a single one the scale begins at 0 where the
    quantity cannot be negative, or reaches as far inside as there are values.
    """
    low = None if limits.low is None else float(limits.low)
    high = None if limits.high is None else float(limits.high)
    values = [*others, float(reading.value)] if reading else list(others)
    if low is not None and high is not None:
        room = (high - low) * BESIDE or _size(low, values) * BESIDE
        return Scale(low - room, high + room, width)
    limit, inwards = (low, 1.0) if low is not None else (high or 0.0, -1.0)
    spread = float(reading.expanded_uncertainty or 0) if reading else 0.0
    inside = _inside(limit, inwards, values, spread)
    if high is not None and limits.unit.non_negative and high > 0:
        inside = high
    edges = sorted((limit + inwards * inside, limit - inwards * inside * BEYOND_ONE))
    return Scale(edges[0], edges[1], width)


def _inside(limit: float, inwards: float, values: Sequence[float], spread: float) -> float:
    """Return how far inside a single limit the picture reaches."""
    usual = _size(limit, values) * 0.5
    farthest = max([(value - limit) * inwards for value in values] + [0.0]) + spread
    return min(max(usual, farthest * 1.15), _size(limit, values) * FARTHEST)


def _size(limit: float, values: Sequence[float]) -> float:
    """Return the size of a limit; of the values where the limit is 0; 1 where there is nothing else."""
    return abs(limit) or max((abs(value) for value in values), default=0.0) or 1.0
