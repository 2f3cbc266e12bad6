"""Counts of rare events: bit errors on a link, failures over device hours."""

from __future__ import annotations

import math

from logbook.core.errors import SampleError
from logbook.core.samples.inputs import open_share, whole_count


def mean_count_bound(events: int, confidence: float = 0.95) -> float:
    """Upper bound of the mean count when so many events were seen.

    Parameters
    ----------
    events : int
        Seen, at least 0.
    confidence : float
        One-sided, between 0 and 1, both left out.

    Returns
    -------
    float
        Mean number of events.

    Raises
    ------
    SampleError
        When an argument is impossible.

    References
    ----------
    Poisson upper limit: half the chi-square quantile with 2(k + 1) degrees of freedom; common practice.

    Examples
    --------
    >>> round(mean_count_bound(0), 4)
    2.9957
    """
    from scipy.special import gammaincinv

    count, share = whole_count(events, "events"), open_share(confidence, "confidence")
    return -math.log1p(-share) if count == 0 else float(gammaincinv(count + 1, share))


def bits_to_show(error_rate: float, errors: int = 0, confidence: float = 0.95) -> float:
    """How many bits, with so many errors among them, show that a link is better than an error rate.

    Parameters
    ----------
    error_rate : float
        Errors a bit, above 0.
    errors : int
        Allowed to happen on the way, at least 0.
    confidence : float
        One-sided, between 0 and 1, both left out.

    Returns
    -------
    float
        Bits.

    Raises
    ------
    SampleError
        When an argument is impossible.

    References
    ----------
    Poisson bound, common practice in bit error ratio tests.

    Examples
    --------
    >>> f"{bits_to_show(1e-12):.4g}"
    '2.996e+12'
    """
    return mean_count_bound(errors, confidence) / _above_zero(error_rate, "error_rate")


def mtbf_lower_bound(device_hours: float, failures: int = 0, confidence: float = 0.9) -> float:
    """Lower bound of the mean time between failures after a test ended by the clock.

    Parameters
    ----------
    device_hours : float
        Hours times devices, above 0.
    failures : int
        Seen, at least 0.
    confidence : float
        One-sided, between 0 and 1, both left out.

    Returns
    -------
    float
        Hours.

    Raises
    ------
    SampleError
        When an argument is impossible.

    Notes
    -----
    Assumes a constant failure rate: no early failures, no wear.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1.

    Examples
    --------
    >>> round(mtbf_lower_bound(10_000))
    4343
    """
    return _above_zero(device_hours, "device_hours") / mean_count_bound(failures, confidence)


def _above_zero(value: float, where: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise SampleError(
            f"{where} {value} is not above 0.", given=str(value), allowed="finite, above 0", where=where
        )
    return value
