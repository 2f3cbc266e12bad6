"""The probability that the true value lies inside the limits."""

from __future__ import annotations

import math

from logbook.core.errors import UncertaintyError

_SQRT_2 = math.sqrt(2.0)


def normal_cdf(z: float) -> float:
    """Return the standard normal distribution function.

    Parameters
    ----------
    z : float
        Argument, dimensionless; may be infinite.

    Returns
    -------
    float
        Probability, accurate to a few units of the last digit down to the far lower tail.

    References
    ----------
    Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.29.

    Examples
    --------
    >>> normal_cdf(0.0)
    0.5
    """
    return 0.5 * math.erfc(-z / _SQRT_2)


def conformance_probability(
    y: float,
    u: float,
    low: float | None,
    high: float | None,
    degrees_of_freedom: float | None = None,
) -> float:
    """Return the probability that a measured quantity conforms to its limits.

    Parameters
    ----------
    y : float
        Measured value.
    u : float
        Standard uncertainty in the unit of ``y``, 0 or more.
    low, high : float or None
        Limits in the unit of ``y``; None for no limit.
    degrees_of_freedom : float or None
        Above zero for a Student distribution scaled by u; None or infinite for a normal one.

    Returns
    -------
    float
        Probability, 0 to 1. With u = 0 it is 1 inside or on a limit and 0 outside.

    Raises
    ------
    UncertaintyError
        If u is negative or not finite, or the degrees of freedom are not above zero.

    Notes
    -----
    Assumes that nothing is known beforehand but the reading itself.

    References
    ----------
    JCGM 106:2012, 7.2 to 7.4; Student distribution: JCGM 100:2008, G.3.

    Examples
    --------
    >>> round(conformance_probability(-5.47, 0.05, None, -5.40), 2)
    0.92
    """
    to_low = math.inf if low is None else y - low
    to_high = math.inf if high is None else high - y
    return probability_from_distances(min(to_low, to_high), max(to_low, to_high), u, degrees_of_freedom)


def probability_from_distances(
    nearest: float, farthest: float, u: float, degrees_of_freedom: float | None = None
) -> float:
    """Return the conformance probability from the distances to the two limits.

    Parameters
    ----------
    nearest, farthest : float
        Distances from the value to the nearer and the farther limit, negative when outside that limit,
        infinite where there is no limit.
    u : float
        Standard uncertainty in the unit of the distances, 0 or more.
    degrees_of_freedom : float or None
        As in `conformance_probability`.

    Returns
    -------
    float
        Probability, 0 to 1.

    Raises
    ------
    UncertaintyError
        If u is negative or not finite, or the degrees of freedom are not above zero.

    Notes
    -----
    Both terms are taken from the side of the nearer limit: far outside they are small numbers whose
    difference keeps its digits, where 1 - (1 - p) would leave nothing.

    References
    ----------
    JCGM 106:2012, 7.3 and 7.4.

    Examples
    --------
    >>> probability_from_distances(0.0, float("inf"), 0.01)
    0.5
    """
    if not 0.0 <= u < math.inf:
        raise UncertaintyError(
            f"The standard uncertainty is {u}.", given=str(u), allowed="a finite number, 0 or more", where="u"
        )
    if degrees_of_freedom is not None and not degrees_of_freedom > 0:
        raise UncertaintyError(
            f"{degrees_of_freedom} degrees of freedom.",
            given=str(degrees_of_freedom),
            allowed="above 0, or none for infinite",
            where="degrees_of_freedom",
        )
    if u == 0.0:
        return 1.0 if nearest >= 0 else 0.0
    if degrees_of_freedom is None or math.isinf(degrees_of_freedom):
        return normal_cdf(nearest / u) - normal_cdf(-farthest / u)
    from scipy.special import stdtr

    return float(stdtr(degrees_of_freedom, nearest / u) - stdtr(degrees_of_freedom, -farthest / u))
