"""Intervals that surely hold the true result: every bound is rounded outwards.

Arrays of intervals are computed at once. Where an operation is not defined on a part of an interval
(division by an interval around 0, the logarithm of a negative number) the result is the whole line, so that
a search for extremes has to look closer and cannot overlook the gap.

References
----------
Moore, Kearfott, Cloud, Introduction to Interval Analysis (2009), chapters 2 and 5 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# NumPy's exp, ln, sin, power ... are right to a few units in the last place; four are allowed for.
_FEW_ULP = 4 * float(np.finfo(np.float64).eps)
_TINIEST = 5e-324


@dataclass(frozen=True, slots=True)
class Interval:
    """Lower and upper bounds, as arrays of one shape or as scalars.

    Parameters
    ----------
    low, high : ndarray of float
        ``low <= high``; infinite where nothing is known.
    """

    low: Floats
    high: Floats

    def __add__(self, other: Interval) -> Interval:
        return Interval(_sum_down(self.low, other.low), _sum_up(self.high, other.high))

    def __sub__(self, other: Interval) -> Interval:
        return self + (-other)

    def __neg__(self) -> Interval:
        return Interval(-self.high, -self.low)

    def __mul__(self, other: Interval) -> Interval:
        a, b, c, d = self.low, self.high, other.low, other.high
        lows = [_product(x, y, -np.inf) for x, y in ((a, c), (a, d), (b, c), (b, d))]
        highs = [_product(x, y, np.inf) for x, y in ((a, c), (a, d), (b, c), (b, d))]
        return Interval(
            np.minimum(np.minimum(lows[0], lows[1]), np.minimum(lows[2], lows[3])),
            np.maximum(np.maximum(highs[0], highs[1]), np.maximum(highs[2], highs[3])),
        )

    def __truediv__(self, other: Interval) -> Interval:
        return self * reciprocal(other)


def point(value: ArrayLike) -> Interval:
    """Return numbers as intervals of no width."""
    number = np.asarray(value, dtype=np.float64)
    return Interval(number, number)


def _sum_error(a: Floats, b: Floats, total: Floats) -> Floats:
    """Return what rounding took from a sum, exactly (Knuth's two-sum), so that exact sums stay exact."""
    part = total - a
    error: Floats = (a - (total - part)) + (b - part)
    return error


def _sum_down(a: Floats, b: Floats) -> Floats:
    total = a + b
    rounded = np.where(_sum_error(a, b, total) < 0, np.nextafter(total, -np.inf), total)
    return np.where(np.isnan(rounded), -np.inf, rounded)


def _sum_up(a: Floats, b: Floats) -> Floats:
    return -_sum_down(-a, -b)


def _product(a: Floats, b: Floats, towards: float) -> Floats:
    """Return a product rounded towards one side; 0 times anything is exactly 0."""
    is_zero = (a == 0) | (b == 0)
    return np.where(is_zero, 0.0, np.nextafter(a * b, towards))


def _widened(low: Floats, high: Floats) -> Interval:
    down = np.where(np.isfinite(low), low - (np.abs(low) * _FEW_ULP + _TINIEST), low)
    up = np.where(np.isfinite(high), high + (np.abs(high) * _FEW_ULP + _TINIEST), high)
    return Interval(down, up)


def _or_whole_line(is_defined: NDArray[np.bool_], found: Interval) -> Interval:
    return Interval(np.where(is_defined, found.low, -np.inf), np.where(is_defined, found.high, np.inf))


def reciprocal(x: Interval) -> Interval:
    """Return 1/x; a bound at 0 gives an infinite one, 0 inside gives the whole line."""
    low = np.where(x.high == 0, -np.inf, np.nextafter(1 / x.high, -np.inf))
    high = np.where(x.low == 0, np.inf, np.nextafter(1 / x.low, np.inf))
    return _or_whole_line((x.low > 0) | (x.high < 0) | ((x.low == 0) != (x.high == 0)), Interval(low, high))


def rising(function: Callable[[Floats], Floats], x: Interval) -> Interval:
    """Return the interval of a function that rises everywhere."""
    return _widened(function(x.low), function(x.high))


def absolute(x: Interval) -> Interval:
    """Return |x|."""
    low = np.where((x.low <= 0) & (x.high >= 0), 0.0, np.minimum(np.abs(x.low), np.abs(x.high)))
    return Interval(low, np.maximum(np.abs(x.low), np.abs(x.high)))


def square_root(x: Interval) -> Interval:
    """Return √x; the whole line where x may be negative."""
    found = rising(np.sqrt, x)
    return _or_whole_line(x.low >= 0, Interval(np.maximum(found.low, 0.0), found.high))


def exponential(x: Interval) -> Interval:
    """Return exp(x)."""
    found = rising(np.exp, x)
    return Interval(np.maximum(found.low, 0.0), found.high)


def logarithm(function: Callable[[Floats], Floats], x: Interval) -> Interval:
    """Return a logarithm of x; the whole line where x may be 0 or less."""
    return _or_whole_line(x.low > 0, rising(function, x))


def _may_hold(x: Interval, first: float, period: float) -> NDArray[np.bool_]:
    """Tell whether x may hold one of first + k·period; near misses count as hits, which is safe."""
    slack = 1e-12 * (1 + np.maximum(np.abs(x.low), np.abs(x.high)))
    nearest = first + period * np.ceil((x.low - slack - first) / period)
    # A bound beyond all numbers gives no answer, so it counts as a hit.
    return ~(nearest > x.high + slack)


def _wave(function: Callable[[Floats], Floats], peak: float, x: Interval) -> Interval:
    ends = function(x.low), function(x.high)
    found = _widened(np.minimum(*ends), np.maximum(*ends))
    low = np.where(_may_hold(x, peak + np.pi, 2 * np.pi), -1.0, np.maximum(found.low, -1.0))
    return Interval(low, np.where(_may_hold(x, peak, 2 * np.pi), 1.0, np.minimum(found.high, 1.0)))


def sine(x: Interval) -> Interval:
    """Return sin x, x in radian."""
    return _wave(np.sin, np.pi / 2, x)


def cosine(x: Interval) -> Interval:
    """Return cos x, x in radian."""
    return _wave(np.cos, 0.0, x)


def tangent(x: Interval) -> Interval:
    """Return tan x, x in radian; the whole line where x may hold a pole."""
    return _or_whole_line(~_may_hold(x, np.pi / 2, np.pi), rising(np.tan, x))


def raised(x: Interval, exponent: float) -> Interval:
    """Return x to a fixed exponent."""
    if exponent < 0:
        return reciprocal(raised(x, -exponent))
    if not exponent.is_integer():
        found = rising(lambda bound: np.power(bound, exponent), x)
        return _or_whole_line(x.low >= 0, Interval(np.maximum(found.low, 0.0), found.high))
    if exponent % 2 == 1:
        return rising(lambda bound: np.power(bound, exponent), x)
    size = absolute(x)
    found = rising(lambda bound: np.power(bound, exponent), size)
    return Interval(np.where(size.low == 0, 0.0, np.maximum(found.low, 0.0)), found.high)


def power(x: Interval, exponent: Interval) -> Interval:
    """Return x to an exponent that varies; the whole line where x may be 0 or less."""
    return _or_whole_line(x.low > 0, exponential(exponent * logarithm(np.log, x)))


def parallel(a: Interval, b: Interval) -> Interval:
    """Return a·b/(a + b), which rises in both where neither is negative."""
    low = _at_corner(a.low, b.low)
    high = _at_corner(a.high, b.high)
    is_plain = (a.low >= 0) & (b.low >= 0) & (a.low + b.low > 0) & np.isfinite(high)
    general = a * b / (a + b)
    found = _widened(low, high)
    return Interval(
        np.where(is_plain, np.maximum(found.low, 0.0), general.low),
        np.where(is_plain, found.high, general.high),
    )


def _at_corner(a: Floats, b: Floats) -> Floats:
    corner: Floats = a * b / (a + b)
    return corner
