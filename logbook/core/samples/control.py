"""Factors that turn the spread or the range of a few readings into a standard deviation."""

from __future__ import annotations

import math

from logbook.core.samples.inputs import whole_count

# Twelve standard deviations each way: beyond lies less than 1e-32 of a normal distribution.
_REACH = 12.0
_STEPS = 4800


def spread_bias_factor(n: int) -> float:
    """c4: the mean of s over the true standard deviation.

    Parameters
    ----------
    n : int
        Readings, at least 2.

    Returns
    -------
    float
        Below 1, without unit.

    Raises
    ------
    SampleError
        When there are fewer than two readings.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.

    Examples
    --------
    >>> round(spread_bias_factor(5), 4)
    0.94
    """
    degrees = whole_count(n, "n", at_least=2) - 1
    return math.sqrt(2 / degrees) * math.exp(math.lgamma((degrees + 1) / 2) - math.lgamma(degrees / 2))


def range_factor(n: int) -> float:
    """d2: the mean range over the true standard deviation.

    Parameters
    ----------
    n : int
        Readings, at least 2.

    Returns
    -------
    float
        Without unit.

    Raises
    ------
    SampleError
        When there are fewer than two readings.

    Notes
    -----
    The mean range is the integral of 1 − Φⁿ − (1 − Φ)ⁿ; the integrand vanishes at both ends, so
    the plain sum of equal steps is exact to rounding.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.1; L. H. C. Tippett, Biometrika 17 (1925).

    Examples
    --------
    >>> round(range_factor(3), 3)
    1.693
    """
    import numpy as np
    from scipy.special import ndtr

    count = whole_count(n, "n", at_least=2)
    below = ndtr(np.linspace(-_REACH, _REACH, _STEPS + 1))
    inside = 1 - below**count - (1 - below) ** count
    return float(inside.sum()) * 2 * _REACH / _STEPS
