"""Acceptance limits, guard bands and the risks that belong to them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from logbook.core.errors import DecisionError
from logbook.core.verdict.probability import normal_cdf

# ANSI/NCSL Z540.3-2006, 5.3 b), as quoted on public pages.
Z540_3_LARGEST_FALSE_ACCEPTANCE = 0.02
Z540_3_SMALLEST_TEST_UNCERTAINTY_RATIO = 4.0


def guard_band_factor(conformance_probability: float) -> float:
    """Return how many standard uncertainties a one-sided guard band has to span.

    Parameters
    ----------
    conformance_probability : float
        Smallest probability wanted at the acceptance limit, between 0 and 1.

    Returns
    -------
    float
        z, the normal quantile; 1.645 for 0.95 (0.82 U with k = 2).

    Raises
    ------
    DecisionError
        If the probability is not between 0 and 1.

    References
    ----------
    JCGM 106:2012, 8.3.2 and Table 1; ISO 14253-1:2017 uses 1.65 for 95 %.

    Examples
    --------
    >>> round(guard_band_factor(0.95), 3)
    1.645
    """
    if not 0.0 < conformance_probability < 1.0:
        raise DecisionError(
            f"The probability is {conformance_probability}.",
            given=str(conformance_probability),
            allowed="between 0 and 1",
            where="conformance_probability",
        )
    from scipy.special import ndtri

    return float(ndtri(conformance_probability))


def specific_risk(guard_band_in_expanded: float) -> float:
    """Return the probability of a false acceptance for a reading on the acceptance limit.

    Parameters
    ----------
    guard_band_in_expanded : float
        Guard band as a multiple r of U = 2 u: w = r U.

    Returns
    -------
    float
        Probability that the value lies beyond the one limit, 0 to 1.

    References
    ----------
    ILAC-G8:09/2019, Table 1; JCGM 106:2012, 9.3.2.

    Examples
    --------
    >>> round(100 * specific_risk(1.0), 2)
    2.28
    """
    return normal_cdf(-2.0 * guard_band_in_expanded)


def acceptance_limit(upper_limit: float, u: float, risk: float) -> float:
    """Return the upper acceptance limit that keeps the specific risk of a false acceptance.

    Parameters
    ----------
    upper_limit : float
        Upper tolerance limit. For a lower limit give both it and the result the opposite sign.
    u : float
        Standard uncertainty in the same unit, 0 or more.
    risk : float
        Largest risk accepted for a reading on the acceptance limit, between 0 and 1.

    Returns
    -------
    float
        Acceptance limit in the same unit.

    Raises
    ------
    DecisionError
        If u is negative or not finite, or the risk is not between 0 and 1.

    References
    ----------
    JCGM 106:2012, 8.3.2.

    Examples
    --------
    >>> round(acceptance_limit(5.25, 0.01, 0.02), 4)
    5.2295
    """
    _require_standard_uncertainty(u)
    # The quantile of the risk itself: 1 - risk would lose the digits of a small one.
    return upper_limit + guard_band_factor(risk) * u


def rejection_limit(upper_limit: float, relative_u: float, probability: float) -> float:
    """Return the smallest reading that proves a limit exceeded, where u grows with the reading.

    Parameters
    ----------
    upper_limit : float
        Upper tolerance limit, above 0.
    relative_u : float
        Standard uncertainty as a fraction of the reading, 0 or more.
    probability : float
        Probability wanted that the limit is exceeded, between 0 and 1.

    Returns
    -------
    float
        The reading, in the unit of the limit.

    Raises
    ------
    DecisionError
        If no reading proves it, because the uncertainty grows as fast as the reading.

    References
    ----------
    JCGM 106:2012, 8.3.3.

    Examples
    --------
    >>> round(rejection_limit(100.0, 0.02, 0.999), 1)
    106.6
    """
    _require_standard_uncertainty(relative_u)
    left = 1.0 - guard_band_factor(probability) * relative_u
    if left <= 0:
        raise DecisionError(
            f"With a relative uncertainty of {relative_u} no reading proves it.",
            given=str(relative_u),
            allowed="a smaller relative uncertainty",
            where="relative_u",
        )
    return upper_limit / left


@dataclass(frozen=True, slots=True)
class AcceptanceFactors:
    """Acceptance limit over tolerance limit by three published rules, for one test uncertainty ratio."""

    root_difference_of_squares: float
    method_6: float
    rp_10: float


def acceptance_factors(test_uncertainty_ratio: float) -> AcceptanceFactors:
    """Return by how much published guard-band rules shrink a symmetric two-sided tolerance.

    Parameters
    ----------
    test_uncertainty_ratio : float
        Half-width of the tolerance over U with k = 2; 1 or more.

    Returns
    -------
    AcceptanceFactors
        Each the acceptance half-width as a fraction of the tolerance half-width.

    Raises
    ------
    DecisionError
        If the ratio is below 1: then the uncertainty is wider than the tolerance.

    Notes
    -----
    As published: above a ratio of 4 the last rule exceeds 1, and so does method 6 from about 4.6.

    References
    ----------
    sqrt(1 - 1 / TUR^2): known as root difference of squares. Method 6: M. Dobbert, handbook to
    ANSI/NCSL Z540.3-2006. 1.25 - 1 / TUR: NCSL RP-10.

    Examples
    --------
    >>> round(acceptance_factors(2.0).root_difference_of_squares, 4)
    0.866
    """
    ratio = test_uncertainty_ratio
    if not ratio >= 1.0:
        raise DecisionError(
            f"The test uncertainty ratio is {ratio}.", given=str(ratio), allowed="1 or more", where="ratio"
        )
    method_6 = 1.0 - (1.04 - math.exp(0.38 * math.log(ratio) - 0.54)) / ratio
    return AcceptanceFactors(math.sqrt(1.0 - 1.0 / ratio**2), method_6, 1.25 - 1.0 / ratio)


def _require_standard_uncertainty(u: float) -> None:
    if not 0.0 <= u < math.inf:
        raise DecisionError(
            f"The uncertainty is {u}.", given=str(u), allowed="a finite number, 0 or more", where="u"
        )
