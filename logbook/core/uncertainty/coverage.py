"""Effective degrees of freedom and the coverage factor that follows from them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty.combining import checked_uncertainties

# "95.45 %" is the printed form of erf(sqrt 2), the level that belongs to k = 2 (JCGM 100:2008, Table G.1).
LEVEL_OF_TWO = 0.9545


def effective_degrees_of_freedom(u: Sequence[float], nu: Sequence[float | None]) -> float | None:
    """Return the Welch-Satterthwaite degrees of freedom of a sum of independent contributions.

    Parameters
    ----------
    u : sequence of float, length n
        Contributions to the combined standard uncertainty, |c| u each, in the unit of the result, 0 or more.
    nu : sequence of float or None, length n
        Degrees of freedom of each, above zero; None means infinite.

    Returns
    -------
    float or None
        Effective degrees of freedom, not truncated; None when infinite.

    Raises
    ------
    UncertaintyError
        If the lengths differ, an uncertainty is negative or not finite, or a number of degrees of freedom is
        not above zero.

    References
    ----------
    JCGM 100:2008, G.4.1, equation (G.2b).

    Examples
    --------
    >>> round(effective_degrees_of_freedom([2.0, 1.5, 0.8], [4, None, 9]), 4)
    11.7345
    """
    parts = checked_uncertainties(u)
    if len(nu) != parts.size:
        raise UncertaintyError(
            f"{parts.size} contributions have {len(nu)} degrees of freedom.",
            given=str(len(nu)),
            allowed=str(parts.size),
            where="nu",
        )
    infinite_or_checked = [math.inf if n is None else _checked_nu(n) for n in nu]
    largest = float(parts.max(initial=0.0))
    if largest == 0.0:
        return None
    # Scaled by the largest part, because the fourth power of a picovolt would leave the range of floats.
    scaled = parts / largest
    denominator = float((scaled**4 / np.asarray(infinite_or_checked)).sum())
    return float((scaled**2).sum()) ** 2 / denominator if denominator > 0.0 else None


def coverage_factor(level: float, nu: float | None = None) -> float:
    """Return the factor k that turns a standard uncertainty into an interval of the given level.

    Parameters
    ----------
    level : float
        Coverage probability, between 0 and 1.
    nu : float or None
        Degrees of freedom, 1 or more; None means infinite (normal distribution).

    Returns
    -------
    float
        k, dimensionless. Exactly 2 for the level 0.9545 with infinite degrees of freedom.

    Raises
    ------
    UncertaintyError
        If the level is not between 0 and 1 or nu is below 1.

    Notes
    -----
    Degrees of freedom are cut to the next lower integer before the Student quantile is taken. They are
    rounded to two decimals first: the guide takes its own 18.9987 as 19.

    References
    ----------
    JCGM 100:2008, G.3.2, G.4.1 and Tables G.1 and G.2.

    Examples
    --------
    >>> coverage_factor(0.9545)
    2.0
    >>> round(coverage_factor(0.95, 19.7), 2)
    2.09
    """
    if not 0.0 < level < 1.0:
        raise UncertaintyError(
            f"The level is {level}.", given=str(level), allowed="between 0 and 1", where="level"
        )
    from scipy.special import ndtri, stdtrit

    if nu is None or math.isinf(nu):
        return 2.0 if level == LEVEL_OF_TWO else -float(ndtri((1.0 - level) / 2.0))
    if not nu >= 1.0:
        raise UncertaintyError(
            f"{nu} degrees of freedom.", given=str(nu), allowed="1 or more, or none for infinite", where="nu"
        )
    return -float(stdtrit(truncated_degrees_of_freedom(nu), (1.0 - level) / 2.0))


def truncated_degrees_of_freedom(nu: float) -> int:
    """Return the whole degrees of freedom with which the Student quantile is taken.

    Parameters
    ----------
    nu : float
        Effective degrees of freedom, 1 or more, finite.

    Returns
    -------
    int
        The next lower integer, after rounding to two decimals.

    References
    ----------
    JCGM 100:2008, G.4.1.

    Examples
    --------
    >>> truncated_degrees_of_freedom(11.73), truncated_degrees_of_freedom(18.9987)
    (11, 19)
    """
    return math.floor(round(nu, 2))


def _checked_nu(nu: float) -> float:
    if not nu > 0:
        raise UncertaintyError(f"{nu} degrees of freedom.", given=str(nu), allowed="above 0", where="nu")
    return nu
