"""Uncertainty from repeated observations (Type A)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from logbook.core.errors import UncertaintyError


@dataclass(frozen=True, slots=True)
class TypeA:
    """Mean of n observations, their experimental standard deviation, and what they leave uncertain."""

    mean: float
    standard_deviation: float
    standard_uncertainty: float
    degrees_of_freedom: int
    n: int


def type_a(values: Sequence[float]) -> TypeA:
    """Evaluate repeated observations of one quantity.

    Parameters
    ----------
    values : sequence of float
        At least two finite observations, any one unit.

    Returns
    -------
    TypeA
        Mean, s (divisor n - 1), s / sqrt(n), n - 1 and n, in the unit of the values.

    Raises
    ------
    UncertaintyError
        If there are fewer than two values or one is not finite.

    Notes
    -----
    Assumes independent observations. Differences from the first value are averaged, so that a small
    scatter on a large value keeps its digits.

    References
    ----------
    JCGM 100:2008, 4.2.1 to 4.2.3.

    Examples
    --------
    >>> type_a([1.0, 2.0, 3.0]).standard_deviation
    1.0
    """
    n = len(values)
    if n < 2:
        raise UncertaintyError(
            f"{n} observation(s) show no scatter.",
            given=str(n),
            allowed="two or more values",
            where="repeats",
        )
    if not all(math.isfinite(value) for value in values):
        raise UncertaintyError(
            "An observation is not a finite number.",
            given=", ".join(map(str, values))[:40],
            allowed="finite numbers",
            where="repeats",
        )
    first = values[0]
    offset = math.fsum(value - first for value in values) / n
    s = math.sqrt(math.fsum((value - first - offset) ** 2 for value in values) / (n - 1))
    return TypeA(first + offset, s, s / math.sqrt(n), n - 1, n)


def type_a_covariance(observations: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Evaluate observations of several quantities that were read together.

    Parameters
    ----------
    observations : array_like, shape (n, m)
        n >= 2 simultaneous sets of m quantities, each column in its own unit.

    Returns
    -------
    means : ndarray, shape (m,)
        Column means.
    covariance : ndarray, shape (m, m)
        Covariance of the means (products of the columns' units), with n - 1 degrees of freedom.

    Raises
    ------
    UncertaintyError
        If the array is not two-dimensional, has fewer than two rows or holds a non-finite value.

    References
    ----------
    JCGM 100:2008, 5.2.3, equation (17), and H.2.

    Examples
    --------
    >>> means, covariance = type_a_covariance([[1.0, 2.0], [3.0, 6.0]])
    >>> means.tolist(), covariance.tolist()
    ([2.0, 4.0], [[1.0, 2.0], [2.0, 4.0]])
    """
    sets = np.asarray(observations, dtype=np.float64)
    if sets.ndim != 2 or sets.shape[0] < 2 or not np.isfinite(sets).all():
        raise UncertaintyError(
            "The observations are not two or more complete sets.",
            given=f"shape {sets.shape}",
            allowed="n >= 2 rows of m finite numbers",
            where="observations",
        )
    n = sets.shape[0]
    means = sets[0] + (sets - sets[0]).mean(axis=0)
    deviations = sets - means
    return means, deviations.T @ deviations / (n * (n - 1))


def relative_deviation_of_s(n: int) -> float:
    """Return the relative standard deviation of an experimental standard deviation itself.

    Parameters
    ----------
    n : int
        Number of normal, independent observations, 2 or more.

    Returns
    -------
    float
        sqrt(1 - c4^2) / c4, dimensionless; 0.76 for n = 2.

    Raises
    ------
    UncertaintyError
        If n is below 2.

    References
    ----------
    JCGM 100:2008, E.4.3 and Table E.1.

    Examples
    --------
    >>> round(relative_deviation_of_s(10), 2)
    0.24
    """
    if n < 2:
        raise UncertaintyError(f"n is {n}.", given=str(n), allowed="2 or more", where="n")
    ln_c4 = 0.5 * math.log(2.0 / (n - 1)) + math.lgamma(n / 2) - math.lgamma((n - 1) / 2)
    return math.sqrt(math.expm1(-2.0 * ln_c4))
