"""Two readings of the same boards, and several results of the same quantity."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from logbook.core.errors import SampleError
from logbook.core.samples.description import describe_sample
from logbook.core.samples.inputs import finite_readings


class PairedComparison(NamedTuple):
    """Student's t of the differences, its degrees of freedom and two-sided probability."""

    t: float
    degrees_of_freedom: int
    probability: float


class WeightedMean(NamedTuple):
    """A weighted mean, its uncertainty by the stated ones and by the scatter, and their ratio."""

    mean: float
    internal_uncertainty: float
    external_uncertainty: float
    birge_ratio: float


def paired_comparison(before: Sequence[float], after: Sequence[float]) -> PairedComparison | None:
    """Whether boards read differently before and after something was done to them.

    Parameters
    ----------
    before, after : sequence of float, shape (n,)
        Readings of the same boards in the same order and unit, n ≥ 2.

    Returns
    -------
    PairedComparison or None
        Of before minus after; None when all differences are equal.

    Raises
    ------
    SampleError
        When the lists differ in length, have fewer than two readings, or one is not finite.

    References
    ----------
    Student, "The probable error of a mean", Biometrika 6 (1908).

    Examples
    --------
    >>> paired_comparison([1.0, 2.0, 3.0], [1.1, 2.3, 3.2]).degrees_of_freedom
    2
    """
    from scipy.special import stdtr

    first = finite_readings(before, where="before", at_least=2)
    second = finite_readings(after, where="after", at_least=2)
    _same_length(first, second, "after")
    sample = describe_sample([a - b for a, b in zip(first, second, strict=True)])
    if not sample.s:
        return None
    t = sample.mean * math.sqrt(sample.n) / sample.s
    return PairedComparison(t, sample.n - 1, 2 * float(stdtr(sample.n - 1, -abs(t))))


def weighted_mean(values: Sequence[float], uncertainties: Sequence[float]) -> WeightedMean:
    """One value out of several results with uncertainties of their own.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Results in one unit, n ≥ 2.
    uncertainties : sequence of float, shape (n,)
        Their standard uncertainties, each above 0, same unit.

    Returns
    -------
    WeightedMean
        In the unit of the values; the Birge ratio has none and is near 1 when the stated
        uncertainties explain the scatter.

    Raises
    ------
    SampleError
        When the lists differ in length, are too short, or an uncertainty is not above 0.

    References
    ----------
    Weighted least squares, common practice; R. T. Birge, Physical Review 40 (1932), from memory.

    Examples
    --------
    >>> round(weighted_mean([1.02, 0.98, 1.01], [0.02, 0.03, 0.01]).mean, 5)
    1.00939
    """
    results = finite_readings(values, at_least=2)
    spreads = finite_readings(uncertainties, where="uncertainties", at_least=2)
    _same_length(results, spreads, "uncertainties")
    if min(spreads) <= 0:
        raise SampleError(
            f"An uncertainty of {min(spreads)} has no weight.",
            given=str(min(spreads)),
            allowed="more than 0",
            where="uncertainties",
        )
    weights = [1 / (u * u) for u in spreads]
    total = math.fsum(weights)
    mean = math.fsum(w * x for w, x in zip(weights, results, strict=True)) / total
    chi_square = math.fsum(w * (x - mean) ** 2 for w, x in zip(weights, results, strict=True))
    birge = math.sqrt(chi_square / (len(results) - 1))
    internal = 1 / math.sqrt(total)
    return WeightedMean(mean, internal, internal * birge, birge)


def _same_length(first: Sequence[float], second: Sequence[float], where: str) -> None:
    if len(first) != len(second):
        raise SampleError(
            f"{len(first)} values meet {len(second)} {where}.",
            given=str(len(second)),
            allowed=str(len(first)),
            where=where,
        )
