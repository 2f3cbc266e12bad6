"""Yes/no checks: what k failures in n trials say about the true share of failures."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from logbook.core.errors import SampleError
from logbook.core.samples.inputs import open_share, whole_count

Sides = Literal["two", "upper"]


class AttributeBounds(NamedTuple):
    """Observed share of failures and the exact bounds of the true one."""

    estimate: float
    lower: float
    upper: float


def attribute_bounds(
    failures: int, trials: int, confidence: float = 0.95, sides: Sides = "two"
) -> AttributeBounds:
    """Clopper–Pearson bounds of the share of failures.

    Parameters
    ----------
    failures : int
        0 to `trials`.
    trials : int
        At least 1; bits, boots, boards.
    confidence : float
        Between 0 and 1, both left out.
    sides : {"two", "upper"}
        "two" leaves half of the doubt on either side; "upper" spends all of it above, which is how
        zero errors in N trials is stated.

    Returns
    -------
    AttributeBounds
        Shares from 0 to 1; the lower is exactly 0 at no failure (and for "upper"), the upper exactly
        1 when all failed.

    Raises
    ------
    SampleError
        When the counts, the confidence or the sides are impossible.

    Notes
    -----
    Exact and therefore wide: the true confidence is at least the one stated.

    References
    ----------
    C. J. Clopper, E. S. Pearson, Biometrika 26 (1934); NIST/SEMATECH e-Handbook of Statistical
    Methods, 7.2.4.1.

    Examples
    --------
    >>> bounds = attribute_bounds(0, 10)
    >>> bounds.lower, round(bounds.upper, 4)
    (0.0, 0.3085)
    """
    k, n = whole_count(failures, "failures"), whole_count(trials, "trials", at_least=1)
    if sides not in ("two", "upper"):
        raise SampleError(f"No sides {sides}.", given=sides, allowed="two or upper", where="sides")
    if k > n:
        raise SampleError(f"{k} failures in {n} trials.", given=str(k), allowed=f"0 to {n}", where="failures")
    doubt = (1 - open_share(confidence, "confidence")) / (2 if sides == "two" else 1)
    lower = _lower(k, n, doubt) if sides == "two" else 0.0
    return AttributeBounds(k / n, lower, _upper(k, n, doubt))


def _lower(k: int, n: int, doubt: float) -> float:
    from scipy.special import betaincinv

    if k == 0:
        return 0.0
    return math.exp(math.log(doubt) / n) if k == n else float(betaincinv(k, n - k + 1, doubt))


def _upper(k: int, n: int, doubt: float) -> float:
    from scipy.special import betainccinv

    if k == n:
        return 1.0
    # The closed form keeps its digits where the bound is tiny: no error in 1e9 bits.
    return -math.expm1(math.log(doubt) / n) if k == 0 else float(betainccinv(k + 1, n - k, doubt))


def success_run(reliability: float, confidence: float) -> float:
    """How many trials without a failure show a reliability, before rounding up.

    Parameters
    ----------
    reliability : float
        Share of successes to be shown, between 0 and 1, both left out.
    confidence : float
        Between 0 and 1, both left out.

    Returns
    -------
    float
        Trials; the number to run is the next whole one.

    Raises
    ------
    SampleError
        When a share is impossible.

    References
    ----------
    Success-run theorem, common practice: Clopper–Pearson with no failure.

    Examples
    --------
    >>> math.ceil(success_run(0.95, 0.90))
    45
    """
    return math.log1p(-open_share(confidence, "confidence")) / math.log(
        open_share(reliability, "reliability")
    )
