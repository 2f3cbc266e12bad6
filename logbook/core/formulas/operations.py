"""Each operation of a formula: its value and its partial derivatives, in any arithmetic."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import log
from types import MappingProxyType

from logbook.core.formulas.arithmetic import Arithmetic, Value

ValueRule = Callable[[Arithmetic, tuple[Value, ...]], Value]
PartialsRule = Callable[[Arithmetic, tuple[Value, ...], Value], tuple[Value, ...]]


@dataclass(frozen=True, slots=True)
class Operation:
    """One operation: how it is computed, how it is derived, and why it may fail.

    Parameters
    ----------
    value : callable
        Arithmetic and arguments to the result.
    partials : callable
        Arithmetic, arguments and result to one partial derivative for each argument.
    arguments : int
        How many it takes.
    failure : str
        What has happened where it gives no finite number.
    """

    value: ValueRule
    partials: PartialsRule
    arguments: int = 1
    failure: str = "a result is too large"


def _shared(a: Arithmetic, x: tuple[Value, ...]) -> tuple[Value, ...]:
    """Return the share of the parallel value in each resistance, squared: the slopes of par."""
    total = x[0] + x[1]
    return a.raised(x[1] / total, 2.0), a.raised(x[0] / total, 2.0)


def _of_max(a: Arithmetic, x: tuple[Value, ...]) -> tuple[Value, ...]:
    return a.weight_of_larger(x[0], x[1]), a.weight_of_larger(x[1], x[0])


def _of_min(a: Arithmetic, x: tuple[Value, ...]) -> tuple[Value, ...]:
    return a.weight_of_larger(x[1], x[0]), a.weight_of_larger(x[0], x[1])


def _of_power(a: Arithmetic, x: tuple[Value, ...], y: Value) -> tuple[Value, ...]:
    return x[1] * a.power(x[0], x[1] - a.number(1.0)), a.ln(x[0]) * y


_ZERO = "a division by zero"
_LOGARITHM = "a logarithm of a number that is not above 0"

OPERATIONS: Mapping[str, Operation] = MappingProxyType(
    {
        "+": Operation(lambda a, x: x[0] + x[1], lambda a, x, y: (a.number(1.0), a.number(1.0)), 2),
        "-": Operation(lambda a, x: x[0] - x[1], lambda a, x, y: (a.number(1.0), a.number(-1.0)), 2),
        "*": Operation(lambda a, x: x[0] * x[1], lambda a, x, y: (x[1], x[0]), 2),
        "/": Operation(
            lambda a, x: x[0] / x[1], lambda a, x, y: (a.number(1.0) / x[1], -(y / x[1])), 2, _ZERO
        ),
        "negative": Operation(lambda a, x: -x[0], lambda a, x, y: (a.number(-1.0),)),
        "power": Operation(
            lambda a, x: a.power(x[0], x[1]), _of_power, 2, "a power that is not defined or too large"
        ),
        "sqrt": Operation(
            lambda a, x: a.sqrt(x[0]),
            lambda a, x, y: (a.number(0.5) / y,),
            1,
            "a square root of a negative number",
        ),
        "exp": Operation(
            lambda a, x: a.exp(x[0]), lambda a, x, y: (y,), 1, "an exponential that is too large"
        ),
        "ln": Operation(lambda a, x: a.ln(x[0]), lambda a, x, y: (a.number(1.0) / x[0],), 1, _LOGARITHM),
        "log10": Operation(
            lambda a, x: a.log10(x[0]), lambda a, x, y: (a.number(1 / log(10)) / x[0],), 1, _LOGARITHM
        ),
        "abs": Operation(lambda a, x: a.abs(x[0]), lambda a, x, y: (a.sign(x[0]),)),
        "sin": Operation(lambda a, x: a.sin(x[0]), lambda a, x, y: (a.cos(x[0]),)),
        "cos": Operation(lambda a, x: a.cos(x[0]), lambda a, x, y: (-a.sin(x[0]),)),
        "tan": Operation(lambda a, x: a.tan(x[0]), lambda a, x, y: (a.number(1.0) + a.raised(y, 2.0),)),
        "atan": Operation(
            lambda a, x: a.atan(x[0]),
            lambda a, x, y: (a.number(1.0) / (a.number(1.0) + a.raised(x[0], 2.0)),),
        ),
        "min": Operation(lambda a, x: a.min(x[0], x[1]), lambda a, x, y: _of_min(a, x), 2),
        "max": Operation(lambda a, x: a.max(x[0], x[1]), lambda a, x, y: _of_max(a, x), 2),
        "par": Operation(lambda a, x: a.par(x[0], x[1]), lambda a, x, y: _shared(a, x), 2, _ZERO),
    }
)


def raised_to(exponent: float) -> Operation:
    """Return the operation of a fixed exponent, which is also defined for negative numbers.

    Parameters
    ----------
    exponent : float
        Finite, neither 0 nor 1.

    Returns
    -------
    Operation
        Of one argument.
    """
    return Operation(
        lambda a, x: a.raised(x[0], exponent),
        lambda a, x, y: (a.number(exponent) * a.raised(x[0], exponent - 1),),
        1,
        "a division by zero" if exponent < 0 else "a power that is not defined or too large",
    )
