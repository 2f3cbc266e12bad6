"""The functions of formulas for plain numbers and for intervals, under the same names."""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np

from logbook.core.formulas import intervals
from logbook.core.formulas.intervals import Floats, Interval

# A NumPy number, array or `Interval`: what one kind of arithmetic takes, it returns.
Value = Any


class Arithmetic(Protocol):
    """Functions of one kind of value; + - * / are the operators of the value itself."""

    def number(self, value: float) -> Value: ...
    def sqrt(self, x: Value) -> Value: ...
    def exp(self, x: Value) -> Value: ...
    def ln(self, x: Value) -> Value: ...
    def log10(self, x: Value) -> Value: ...
    def abs(self, x: Value) -> Value: ...
    def sign(self, x: Value) -> Value: ...
    def sin(self, x: Value) -> Value: ...
    def cos(self, x: Value) -> Value: ...
    def tan(self, x: Value) -> Value: ...
    def atan(self, x: Value) -> Value: ...
    def min(self, a: Value, b: Value) -> Value: ...
    def max(self, a: Value, b: Value) -> Value: ...
    def par(self, a: Value, b: Value) -> Value: ...
    def raised(self, x: Value, exponent: float) -> Value: ...
    def power(self, x: Value, exponent: Value) -> Value: ...
    def weight_of_larger(self, a: Value, b: Value) -> Value: ...


class Real:
    """Plain numbers and arrays of them."""

    sqrt = staticmethod(np.sqrt)
    exp = staticmethod(np.exp)
    ln = staticmethod(np.log)
    log10 = staticmethod(np.log10)
    abs = staticmethod(np.abs)
    sign = staticmethod(np.sign)
    sin = staticmethod(np.sin)
    cos = staticmethod(np.cos)
    tan = staticmethod(np.tan)
    atan = staticmethod(np.arctan)
    min = staticmethod(np.minimum)
    max = staticmethod(np.maximum)
    power = staticmethod(np.power)

    def number(self, value: float) -> Value:
        """Return a number of this arithmetic."""
        return np.float64(value)

    def par(self, a: Value, b: Value) -> Value:
        """Return two resistances in parallel."""
        return a * b / (a + b)

    def raised(self, x: Value, exponent: float) -> Value:
        """Return x to a fixed exponent."""
        return x**exponent

    def weight_of_larger(self, a: Value, b: Value) -> Value:
        """Return 1 where a is larger, 0 where b is, and a half where they are equal."""
        return (np.sign(a - b) + 1) / 2


class Enclosing:
    """Intervals, rounded outwards."""

    sqrt = staticmethod(intervals.square_root)
    exp = staticmethod(intervals.exponential)
    abs = staticmethod(intervals.absolute)
    sin = staticmethod(intervals.sine)
    cos = staticmethod(intervals.cosine)
    tan = staticmethod(intervals.tangent)
    par = staticmethod(intervals.parallel)
    raised = staticmethod(intervals.raised)
    power = staticmethod(intervals.power)

    def number(self, value: float) -> Interval:
        """Return a number as an interval of no width."""
        return intervals.point(value)

    def ln(self, x: Interval) -> Interval:
        """Return the natural logarithm."""
        return intervals.logarithm(np.log, x)

    def log10(self, x: Interval) -> Interval:
        """Return the logarithm to base 10."""
        return intervals.logarithm(np.log10, x)

    def atan(self, x: Interval) -> Interval:
        """Return the arc tangent in radian."""
        return intervals.rising(np.arctan, x)

    def sign(self, x: Interval) -> Interval:
        """Return the slopes that |x| may have."""
        return Interval(np.sign(x.low), np.sign(x.high))

    def min(self, a: Interval, b: Interval) -> Interval:
        """Return the smaller of two."""
        return Interval(np.minimum(a.low, b.low), np.minimum(a.high, b.high))

    def max(self, a: Interval, b: Interval) -> Interval:
        """Return the larger of two."""
        return Interval(np.maximum(a.low, b.low), np.maximum(a.high, b.high))

    def weight_of_larger(self, a: Interval, b: Interval) -> Interval:
        """Return the weights that a may have in max(a, b)."""
        surely: Floats = np.where(a.low > b.high, 1.0, 0.0)
        possibly: Floats = np.where(a.high < b.low, 0.0, 1.0)
        return Interval(surely, possibly)


REAL: Arithmetic = Real()
ENCLOSING: Arithmetic = Enclosing()
