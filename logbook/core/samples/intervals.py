"""Confidence intervals of the mean and the spread of a normal sample."""

from __future__ import annotations

import math
from collections.abc import Sequence

from logbook.core.samples.description import describe_sample
from logbook.core.samples.inputs import open_share

Interval = tuple[float, float]


def mean_interval(values: Sequence[float], confidence: float = 0.95) -> Interval | None:
    """Two-sided confidence interval of the mean, spread unknown.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Readings in one unit, n ≥ 1.
    confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    tuple of float or None
        Lower and upper bound in the unit of the readings; None for n = 1.

    Raises
    ------
    SampleError
        When a reading is not finite, there is none, or the confidence is impossible.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2.

    Examples
    --------
    >>> low, high = mean_interval([3.312, 3.298, 3.305, 3.321, 3.294])
    >>> round(low, 4), round(high, 4)
    (3.2925, 3.3195)
    """
    from scipy.special import stdtrit

    share = open_share(confidence, "confidence")
    sample = describe_sample(values)
    if sample.s is None:
        return None
    reach = float(stdtrit(sample.n - 1, (1 + share) / 2)) * sample.s / math.sqrt(sample.n)
    return sample.mean - reach, sample.mean + reach


def deviation_interval(values: Sequence[float], confidence: float = 0.95) -> Interval | None:
    """Two-sided confidence interval of the standard deviation, equal tails.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Readings in one unit, n ≥ 1.
    confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    tuple of float or None
        Lower and upper bound in the unit of the readings; None for n = 1.

    Raises
    ------
    SampleError
        When a reading is not finite, there is none, or the confidence is impossible.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.3.1.

    Examples
    --------
    >>> low, high = deviation_interval([3.312, 3.298, 3.305, 3.321, 3.294])
    >>> round(low, 5), round(high, 5)
    (0.00649, 0.03115)
    """
    from scipy.special import chdtri

    share = open_share(confidence, "confidence")
    sample = describe_sample(values)
    if sample.s is None:
        return None
    degrees = sample.n - 1
    upper_tail = float(chdtri(degrees, (1 - share) / 2))
    lower_tail = float(chdtri(degrees, (1 + share) / 2))
    return sample.s * math.sqrt(degrees / upper_tail), sample.s * math.sqrt(degrees / lower_tail)
