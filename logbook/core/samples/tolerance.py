"""Normal tolerance intervals: between which bounds a share of all boards lies, with what confidence."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from logbook.core.errors import SampleError
from logbook.core.samples.description import describe_sample
from logbook.core.samples.inputs import open_share, whole_count

Sides = Literal["two", "lower", "upper"]

# Beyond nine standard errors the mean has less than 1e-18 of its probability.
_MEAN_REACH = 9.0
_NODES = 120


def tolerance_interval(
    values: Sequence[float], content: float = 0.95, confidence: float = 0.95, *, sides: Sides = "two"
) -> tuple[float | None, float | None] | None:
    """Bounds that hold a share of all boards with a stated confidence, spread unknown.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Readings in one unit, one a board, n ≥ 1, taken as normal.
    content : float
        Share of boards inside, between 0 and 1, both left out.
    confidence : float
        Confidence of the statement, between 0 and 1, both left out.
    sides : {"two", "lower", "upper"}
        Which bounds are wanted.

    Returns
    -------
    tuple of float or None
        Lower and upper bound in the unit of the readings, None for the one not asked for;
        None altogether for n = 1.

    Raises
    ------
    SampleError
        When a reading is not finite, there is none, or a share or side is impossible.

    Notes
    -----
    Poor where the readings are not normal. Uses the exact factors, not an approximation.

    References
    ----------
    ISO 16269-6:2014, normal distribution with unknown mean and unknown variance.

    Examples
    --------
    >>> low, high = tolerance_interval([3.312, 3.298, 3.305, 3.321, 3.294])
    >>> round(low, 3), round(high, 3)
    (3.251, 3.361)
    """
    if sides not in ("two", "lower", "upper"):
        raise SampleError(f"No side {sides}.", given=sides, allowed="two, lower or upper", where="sides")
    open_share(content, "content")
    open_share(confidence, "confidence")
    sample = describe_sample(values)
    if sample.s is None:
        return None
    factor = two_sided_factor if sides == "two" else one_sided_factor
    reach = factor(sample.n, content, confidence) * sample.s
    low = None if sides == "upper" else sample.mean - reach
    high = None if sides == "lower" else sample.mean + reach
    return low, high


def one_sided_factor(n: int, content: float, confidence: float) -> float:
    """How many s from the mean a one-sided normal tolerance bound lies, exactly.

    Parameters
    ----------
    n : int
        Readings, at least 2.
    content, confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    float
        Without unit.

    Raises
    ------
    SampleError
        When an argument is impossible.

    References
    ----------
    ISO 16269-6:2014; NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3: quantile of the
    noncentral t distribution over the root of n.

    Examples
    --------
    >>> round(one_sided_factor(10, 0.95, 0.95), 3)
    2.911
    """
    from scipy.special import nctdtrit, ndtri

    _check(n, content, confidence)
    root = math.sqrt(n)
    return float(nctdtrit(n - 1, root * float(ndtri(content)), confidence)) / root


def two_sided_factor(n: int, content: float, confidence: float) -> float:
    """How many s from the mean the two-sided normal tolerance bounds lie, exactly.

    Parameters
    ----------
    n : int
        Readings, at least 2.
    content, confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    float
        Without unit, to about ten digits.

    Raises
    ------
    SampleError
        When an argument is impossible.

    Notes
    -----
    For each place z the mean may have fallen (in standard deviations of one reading) the half-width
    r(z) that holds the content is the root of a noncentral chi-square quantile. The factor makes the
    chance that the spread s is wide enough, averaged over z, equal to the confidence.

    References
    ----------
    ISO 16269-6:2014, exact two-sided factors; R. E. Odeh, "Tables of two-sided tolerance factors for
    a normal distribution", Communications in Statistics 7 (1978), from memory.

    Examples
    --------
    >>> round(two_sided_factor(5, 0.95, 0.95), 3)
    5.077
    """
    import numpy as np
    from scipy.optimize import brentq
    from scipy.special import chdtrc, chndtrix

    _check(n, content, confidence)
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    mean_at = (nodes + 1) * _MEAN_REACH / 2
    chance = weights * (_MEAN_REACH / 2) * 2 * np.exp(-(mean_at**2) / 2) / math.sqrt(2 * math.pi)
    # Below 1e-30 the noncentral quantile has no defined start; the central one is the same there.
    needed_squared = chndtrix(content, 1, np.maximum(mean_at**2 / n, 1e-30))

    def excess(log_factor: float) -> float:
        wide_enough = chdtrc(n - 1, (n - 1) * needed_squared / math.exp(2 * log_factor))
        return float(chance @ wide_enough) - confidence

    return math.exp(float(brentq(excess, -30.0, 60.0, xtol=1e-13, rtol=1e-13)))


def howe_factor(n: int, content: float, confidence: float) -> float:
    """Howe's approximation of the two-sided factor, to compare with tables that print it.

    Parameters
    ----------
    n : int
        Readings, at least 2.
    content, confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    float
        Without unit; 5 % high at n = 2, 0.3 % off at n = 5 to 10.

    Raises
    ------
    SampleError
        When an argument is impossible.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3.

    Examples
    --------
    >>> round(howe_factor(43, 0.90, 0.99), 3)
    2.217
    """
    from scipy.special import chdtri, ndtri

    _check(n, content, confidence)
    chi_square = float(chdtri(n - 1, confidence))
    return float(ndtri((1 + content) / 2)) * math.sqrt((n - 1) * (1 + 1 / n) / chi_square)


def natrella_factor(n: int, content: float, confidence: float) -> float | None:
    """Natrella's approximation of the one-sided factor, to compare with tables that print it.

    Parameters
    ----------
    n : int
        Readings, at least 2.
    content, confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    float or None
        Without unit; None where n is too small for the formula.

    Raises
    ------
    SampleError
        When an argument is impossible.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3.

    Examples
    --------
    >>> round(natrella_factor(43, 0.90, 0.99), 4)
    1.8752
    """
    from scipy.special import ndtri

    _check(n, content, confidence)
    of_content, of_confidence = float(ndtri(content)), float(ndtri(confidence))
    a = 1 - of_confidence**2 / (2 * (n - 1))
    inside = of_content**2 - a * (of_content**2 - of_confidence**2 / n)
    if a <= 0 or inside < 0:
        return None
    return (of_content + math.sqrt(inside)) / a


def _check(n: int, content: float, confidence: float) -> None:
    whole_count(n, "n", at_least=2)
    open_share(content, "content")
    open_share(confidence, "confidence")
