"""Grubbs' test: is the reading furthest from the mean too far for a normal sample?"""

from __future__ import annotations

import math
from collections.abc import Sequence

from logbook.core.samples.description import describe_sample
from logbook.core.samples.inputs import finite_readings, open_share, whole_count


def grubbs_statistic(values: Sequence[float]) -> float | None:
    """Greatest distance from the mean, in standard deviations.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Readings in one unit, n ≥ 3.

    Returns
    -------
    float or None
        Without unit; None when all readings are equal.

    Raises
    ------
    SampleError
        When there are fewer than three readings or one is not finite.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.

    Examples
    --------
    >>> round(grubbs_statistic([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]), 4)
    2.4688
    """
    readings = finite_readings(values, at_least=3)
    sample = describe_sample(readings)
    if not sample.s:
        return None
    return max(abs(value - sample.mean) for value in readings) / sample.s


def grubbs_critical(n: int, significance: float = 0.05, *, two_sided: bool = True) -> float:
    """What Grubbs' statistic exceeds only by chance with a stated probability.

    Parameters
    ----------
    n : int
        Readings, at least 3.
    significance : float
        Between 0 and 1, both left out.
    two_sided : bool
        Whether either end was suspected before looking, or one known end only.

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
    NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.1.

    Examples
    --------
    >>> round(grubbs_critical(8, two_sided=False), 3)
    2.032
    """
    from scipy.special import stdtrit

    count = whole_count(n, "n", at_least=3)
    tail = open_share(significance, "significance") / (count * (2 if two_sided else 1))
    t_squared = float(stdtrit(count - 2, tail)) ** 2
    return (count - 1) / math.sqrt(count) * math.sqrt(t_squared / (count - 2 + t_squared))
