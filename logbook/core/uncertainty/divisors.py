"""From the half-width of a stated interval to a standard uncertainty."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from logbook.core.errors import UncertaintyError

# JCGM 100:2008: rectangular 4.3.7, triangular 4.3.9, arcsine H.1.3.4. A normal or Student component is
# entered as its standard deviation, so nothing is left to divide by.
DIVISORS: Mapping[str, float] = MappingProxyType(
    {
        "rectangular": math.sqrt(3.0),
        "triangular": math.sqrt(6.0),
        "arcsine": math.sqrt(2.0),
        "normal": 1.0,
        "student": 1.0,
    }
)


def divisor(distribution: str) -> float:
    """Return what the half-width of a distribution is divided by to give its standard uncertainty.

    Parameters
    ----------
    distribution : str
        "rectangular", "triangular", "arcsine", "normal" or "student". The last two are entered as a
        standard deviation and have divisor 1.

    Returns
    -------
    float
        The divisor, dimensionless.

    Raises
    ------
    UncertaintyError
        If the distribution is not one of the five.

    References
    ----------
    JCGM 100:2008, Evaluation of measurement data, 4.3.7, 4.3.9 and H.1.3.4.

    Examples
    --------
    >>> round(4 / divisor("rectangular"), 4)
    2.3094
    """
    try:
        return DIVISORS[distribution]
    except KeyError:
        raise UncertaintyError(
            f"Unknown distribution '{distribution}'.",
            given=distribution,
            allowed=", ".join(DIVISORS),
            where="distribution",
        ) from None
