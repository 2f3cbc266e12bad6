"""Capability indices: how many times the spread fits between the mean and its limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from logbook.core.errors import SampleError
from logbook.core.samples.description import describe_sample
from logbook.core.samples.inputs import open_share


class Capability(NamedTuple):
    """Cpk of a sample and its approximate bounds; None is what the sample cannot say."""

    cpk: float | None
    cpk_interval: tuple[float, float] | None


class CapabilityIndices(NamedTuple):
    """Indices of a known mean and spread; None is what the limits given do not define."""

    cp: float | None
    cpk: float
    cpm: float | None


def capability(
    values: Sequence[float], low: float | None, high: float | None, *, confidence: float = 0.95
) -> Capability:
    """Cpk of a sample with Bissell's approximate two-sided bounds.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Readings in one unit, one a board, n ≥ 1.
    low, high : float or None
        Limits in the same unit; None where there is none. One limit uses that side only.
    confidence : float
        Of the bounds, between 0 and 1, both left out.

    Returns
    -------
    Capability
        `cpk` is None for n = 1 or without spread; `cpk_interval` is None below n = 3 too.

    Raises
    ------
    SampleError
        When there is no reading or no limit, or one is not finite or out of order.

    Notes
    -----
    The bounds are rough below about n = 25; with the few boards of a bring-up they mostly show how
    little is known.

    References
    ----------
    A. F. Bissell, "How reliable is your capability index?", Applied Statistics 39 (1990);
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6.

    Examples
    --------
    >>> capability([3.300], 3.234, 3.366)
    Capability(cpk=None, cpk_interval=None)
    >>> round(capability([3.322, 3.319, 3.326], 3.234, 3.366).cpk, 2)
    4.14
    """
    open_share(confidence, "confidence")
    _check_limits(low, high)
    sample = describe_sample(values)
    if not sample.s:
        return Capability(None, None)
    cpk = capability_indices(sample.mean, sample.s, low, high).cpk
    return Capability(cpk, cpk_bounds(cpk, sample.n, confidence) if sample.n > 2 else None)


def capability_indices(
    mean: float, s: float, low: float | None, high: float | None, target: float | None = None
) -> CapabilityIndices:
    """Cp, Cpk and Cpm of a mean and a standard deviation.

    Parameters
    ----------
    mean, s : float
        In one unit; s > 0.
    low, high : float or None
        Limits in the same unit, at least one.
    target : float or None
        Where the mean should lie; without it there is no Cpm.

    Returns
    -------
    CapabilityIndices
        Without unit. One limit gives no Cp and no Cpm; Cpk is negative with the mean outside.

    Raises
    ------
    SampleError
        When s is not above 0, or the limits are missing or out of order.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6.

    Examples
    --------
    >>> capability_indices(16, 2, 8, 20).cp
    1.0
    """
    if not s > 0:
        raise SampleError(f"A spread of {s} has no Cpk.", given=str(s), allowed="more than 0", where="s")
    _check_limits(low, high)
    sides = [(high - mean) if high is not None else math.inf, (mean - low) if low is not None else math.inf]
    cpk = min(sides) / (3 * s)
    if low is None or high is None:
        return CapabilityIndices(None, cpk, None)
    cp = (high - low) / (6 * s)
    cpm = None if target is None else (high - low) / (6 * math.hypot(s, mean - target))
    return CapabilityIndices(cp, cpk, cpm)


def cpk_bounds(cpk: float, n: int, confidence: float) -> tuple[float, float]:
    """Bissell's approximate two-sided bounds of a Cpk found on n readings.

    Parameters
    ----------
    cpk : float
        As found.
    n : int
        Readings behind it, at least 3.
    confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    tuple of float
        Lower and upper bound, without unit.

    Raises
    ------
    SampleError
        When there are fewer than three readings or the confidence is impossible.

    References
    ----------
    A. F. Bissell, "How reliable is your capability index?", Applied Statistics 39 (1990).

    Examples
    --------
    >>> [round(bound, 3) for bound in cpk_bounds(1.33, 30, 0.95)]
    [0.968, 1.692]
    """
    from scipy.special import ndtri

    open_share(confidence, "confidence")
    if n < 3:
        raise SampleError(f"{n} readings bound no Cpk.", given=str(n), allowed="3 or more", where="n")
    spread = math.sqrt(1 / (9 * n) + cpk * cpk / (2 * (n - 1)))
    reach = float(ndtri((1 + confidence) / 2)) * spread
    return cpk - reach, cpk + reach


def _check_limits(low: float | None, high: float | None) -> None:
    if low is None and high is None:
        raise SampleError("Without a limit there is no Cpk.", allowed="a low or a high limit", where="limits")
    if not all(math.isfinite(limit) for limit in (low, high) if limit is not None) or (
        low is not None and high is not None and low > high
    ):
        raise SampleError(
            f"{low} to {high} are no limits.",
            given=f"{low}, {high}",
            allowed="finite limits, low not above high",
            where="limits",
        )
