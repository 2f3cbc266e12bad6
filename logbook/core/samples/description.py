"""Mean, spread and order of a sample, to the last digits a double can carry."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.core.errors import SampleError
from logbook.core.samples.inputs import finite_readings


@dataclass(frozen=True, slots=True)
class Sample:
    """What a list of readings is, before any assumption.

    Parameters
    ----------
    n : int
        How many readings.
    mean : float
        Their mean.
    s : float or None
        Standard deviation with n − 1; None for a single reading.
    range : float
        Greatest minus smallest.
    """

    n: int
    mean: float
    s: float | None
    range: float


def describe_sample(values: Sequence[float]) -> Sample:
    """Number, mean, standard deviation and range of a sample.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Readings in one unit, n ≥ 1.

    Returns
    -------
    Sample
        In the unit of the readings; its `s` is None for n = 1.

    Raises
    ------
    SampleError
        When there is no reading or one is not finite.

    Notes
    -----
    Two passes with exactly rounded sums, and the remainder of the first pass taken out of the second,
    so that a small spread on a large mean keeps its digits.

    References
    ----------
    T. F. Chan, G. H. Golub, R. J. LeVeque, "Algorithms for computing the sample variance",
    The American Statistician 37 (1983), corrected two-pass algorithm.

    Examples
    --------
    >>> describe_sample([3.322, 3.319, 3.326]).n
    3
    >>> describe_sample([3.317]).s is None
    True
    """
    readings = finite_readings(values)
    n = len(readings)
    mean = math.fsum(readings) / n
    s = math.sqrt(squared_deviations(readings, mean) / (n - 1)) if n > 1 else None
    return Sample(n=n, mean=mean, s=s, range=max(readings) - min(readings))


def squared_deviations(readings: Sequence[float], mean: float) -> float:
    """Sum of squared deviations from the true mean, of which `mean` is the rounded value.

    Parameters
    ----------
    readings : sequence of float, shape (n,)
        Finite readings.
    mean : float
        Their mean as computed.

    Returns
    -------
    float
        In the unit of the readings squared; never below 0.

    Examples
    --------
    >>> squared_deviations([1.0, 2.0, 3.0], 2.0)
    2.0
    """
    deviations = [value - mean for value in readings]
    squares = math.fsum(deviation * deviation for deviation in deviations)
    return max(squares - math.fsum(deviations) ** 2 / len(deviations), 0.0)


def lag1_autocorrelation(values: Sequence[float]) -> float | None:
    """Correlation of each reading with the one before it.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Readings in the order they were taken, n ≥ 2.

    Returns
    -------
    float or None
        Between −1 and 1; None when all readings are equal.

    Raises
    ------
    SampleError
        When there are fewer than two readings or one is not finite.

    Notes
    -----
    Divides by the full sum of squares, as the reference data sets do.

    References
    ----------
    NIST Statistical Reference Datasets, univariate summary statistics.

    Examples
    --------
    >>> lag1_autocorrelation([10000001, 10000003, 10000002])
    -0.5
    """
    readings = finite_readings(values, at_least=2)
    mean = math.fsum(readings) / len(readings)
    deviations = [value - mean for value in readings]
    total = math.fsum(deviation * deviation for deviation in deviations)
    if total == 0:
        return None
    return math.fsum(a * b for a, b in zip(deviations[1:], deviations[:-1], strict=True)) / total


def pooled_deviation(deviations: Sequence[float], counts: Sequence[int]) -> float:
    """One standard deviation out of several samples that share it.

    Parameters
    ----------
    deviations : sequence of float, shape (k,)
        Standard deviations, each ≥ 0, in one unit.
    counts : sequence of int, shape (k,)
        How many readings each comes from, each ≥ 1, at least one ≥ 2.

    Returns
    -------
    float
        In the unit of the deviations.

    Raises
    ------
    SampleError
        When the lists differ in length or no sample has two readings.

    Notes
    -----
    Common practice: variances weighted by their degrees of freedom.

    Examples
    --------
    >>> round(pooled_deviation([0.010, 0.014, 0.008], [5, 3, 4]), 6)
    0.010456
    """
    degrees = [count - 1 for count in counts]
    if len(deviations) != len(degrees) or sum(degrees) < 1:
        raise SampleError(
            f"{len(deviations)} deviations of {list(counts)} readings cannot be pooled.",
            given=f"{list(deviations)}, {list(counts)}",
            allowed="as many deviations as counts, one count of 2 or more",
            where="counts",
        )
    weighted = math.fsum(degree * s * s for degree, s in zip(degrees, deviations, strict=True))
    return math.sqrt(weighted / sum(degrees))
