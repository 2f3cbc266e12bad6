"""Sample arrays checked at the door."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from logbook.core.errors import SignalError

Floats = NDArray[np.float64]


def finite_series(values: Any, where: str, at_least: int = 1) -> Floats:
    """Return values as a one-dimensional array of finite numbers.

    Parameters
    ----------
    values : array_like
        Shape (n,), any unit.
    where : str
        What the values are, for the message.
    at_least : int
        Fewest samples that will do.

    Returns
    -------
    numpy.ndarray
        Shape (n,), float64.

    Raises
    ------
    SignalError
        When the shape is wrong, a value is not a finite number, or there are too few.
    """
    try:
        series = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise SignalError(f"The {where} are not numbers.", allowed="numbers", where=where) from error
    if series.ndim != 1:
        raise SignalError(
            f"The {where} have shape {series.shape}.", allowed="one row of samples", where=where
        )
    if series.size < at_least:
        raise SignalError(
            f"{series.size} {where} are too few.",
            given=str(series.size),
            allowed=f"at least {at_least}",
            where=where,
        )
    if not np.isfinite(series).all():
        first = int(np.flatnonzero(~np.isfinite(series))[0])
        raise SignalError(
            f"Number {first + 1} of the {where} is {series[first]}.",
            given=str(series[first]),
            allowed="finite numbers",
            where=where,
        )
    return series


def positive(value: float, where: str) -> float:
    """Return a finite number above 0, or refuse it.

    Parameters
    ----------
    value : float
        The number.
    where : str
        What it is, for the message.

    Returns
    -------
    float
        The same number.

    Raises
    ------
    SignalError
        When it is not finite or not above 0.
    """
    number = float(value)
    if not (math.isfinite(number) and number > 0):
        raise SignalError(
            f"The {where} is {value}.", given=str(value), allowed="a number above 0", where=where
        )
    return number


def decibels(power_ratio: float) -> float:
    """Return 10 log10 of a ratio of powers; minus infinity for none.

    Parameters
    ----------
    power_ratio : float
        0 or more.

    Returns
    -------
    float
        Decibels.
    """
    return 10 * math.log10(power_ratio) if power_ratio > 0 else -math.inf
