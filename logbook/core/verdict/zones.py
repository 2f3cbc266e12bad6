"""The zones around limits, compared in decimal.

Every border belongs to the better side: a limit is part of what it limits (JCGM 106:2012, notes to the
definitions of tolerance interval and acceptance interval). ILAC-G8:09/2019 leaves its borders open.
"""

from __future__ import annotations

from decimal import Context, Decimal, Inexact
from enum import StrEnum

from logbook.core.errors import DecisionError
from logbook.core.verdict.verdicts import Verdict

# A comparison that had to round would be no comparison, so rounding raises. Readings span far fewer digits.
EXACT = Context(prec=1000, traps=[Inexact])


def exact_difference(a: Decimal, b: Decimal) -> Decimal:
    """Subtract without rounding.

    Parameters
    ----------
    a, b : Decimal
        Finite numbers in one unit.

    Returns
    -------
    Decimal
        a - b, exact, in the same unit.

    Raises
    ------
    DecisionError
        If the result would need more than 1000 digits.

    Examples
    --------
    >>> exact_difference(Decimal("3.465"), Decimal("3.452"))
    Decimal('0.013')
    """
    try:
        return EXACT.subtract(a, b)
    except Inexact:
        raise DecisionError(
            f"{a} and {b} lie too far apart to compare.",
            given=f"{a} and {b}",
            allowed="within 1000 digits of each other",
            where="value",
        ) from None


def margin_to_limits(value: Decimal, low: Decimal | None, high: Decimal | None) -> Decimal:
    """Return the distance to the nearest limit.

    Parameters
    ----------
    value : Decimal
        The reading, finite.
    low, high : Decimal or None
        Limits in the same unit, at least one; None for no limit.

    Returns
    -------
    Decimal
        Exact distance in the same unit, negative when outside, 0 on the limit.

    Raises
    ------
    DecisionError
        If there is no limit, or the numbers lie more than 1000 digits apart.

    Examples
    --------
    >>> margin_to_limits(Decimal("3.452"), Decimal("3.135"), Decimal("3.465"))
    Decimal('0.013')
    """
    if low is None and high is None:
        raise DecisionError(
            "There is no limit to compare with.", allowed="a lower or an upper limit", where="limits"
        )
    to_low = None if low is None else exact_difference(value, low)
    to_high = None if high is None else exact_difference(high, value)
    return min(distance for distance in (to_low, to_high) if distance is not None)


def zone(margin: Decimal, guard_band: Decimal) -> Verdict:
    """Return the verdict for a distance to the nearest limit.

    Parameters
    ----------
    margin : Decimal
        Distance to the nearest limit, negative when outside.
    guard_band : Decimal
        Width of the guard band in the same unit, 0 or more; 0 is simple acceptance.

    Returns
    -------
    Verdict
        One of four; with a guard band of 0 only pass and fail.

    References
    ----------
    ILAC-G8:09/2019, 4.2.1 and 4.2.3; borders: JCGM 106:2012, 3.3.

    Examples
    --------
    >>> zone(Decimal("0.01"), Decimal("0.02"))
    <Verdict.CONDITIONAL_PASS: 'conditional pass'>
    """
    if margin >= guard_band:
        return Verdict.PASS
    if margin >= 0:
        return Verdict.CONDITIONAL_PASS
    # copy_negate, because a plain minus would round to the ambient precision.
    if margin >= guard_band.copy_negate():
        return Verdict.CONDITIONAL_FAIL
    return Verdict.FAIL


class Proof(StrEnum):
    """What a reading proves to the other party (ISO 14253-1:2017)."""

    CONFORMING = "conforming"
    NOT_PROVEN = "not proven"
    NON_CONFORMING = "non-conforming"


def proof(value: Decimal, low: Decimal | None, high: Decimal | None, guard_band: Decimal) -> Proof:
    """Return what a reading proves when the guard band counts against whoever has to prove.

    Parameters
    ----------
    value : Decimal
        The reading, finite.
    low, high : Decimal or None
        Limits in the same unit, at least one.
    guard_band : Decimal
        In the same unit, 0 or more; 1.65 standard uncertainties by default of the standard.

    Returns
    -------
    Proof
        Conforming inside the limits by the guard band, non-conforming outside by more than it.

    Raises
    ------
    DecisionError
        If there is no limit.

    References
    ----------
    ISO 14253-1:2017, rules for verifying conformity and non-conformity.

    Examples
    --------
    >>> proof(Decimal("5.234"), Decimal("4.75"), Decimal("5.25"), Decimal("0.0165")).value
    'not proven'
    """
    verdict = zone(margin_to_limits(value, low, high), guard_band)
    return {Verdict.PASS: Proof.CONFORMING, Verdict.FAIL: Proof.NON_CONFORMING}.get(verdict, Proof.NOT_PROVEN)


def deciding_uncertainty(low: Decimal | None, high: Decimal | None, floor: Decimal | None) -> Decimal | None:
    """Return the largest expanded uncertainty at which some reading could still pass.

    Parameters
    ----------
    low, high : Decimal or None
        Limits in one unit.
    floor : Decimal or None
        Below this the quantity cannot be, in the same unit; None when it has no floor.

    Returns
    -------
    Decimal or None
        Exact, in the same unit; None when any uncertainty would do. Below zero when none would, because
        the upper limit itself lies below the floor.

    Raises
    ------
    DecisionError
        If the numbers lie more than 1000 digits apart.

    Examples
    --------
    >>> deciding_uncertainty(None, Decimal(20), Decimal(0))
    Decimal('20')
    """
    candidates = []
    if high is not None and low is not None:
        candidates.append(EXACT.multiply(exact_difference(high, low), Decimal("0.5")))
    if high is not None and floor is not None:
        candidates.append(exact_difference(high, floor))
    return min(candidates, default=None)
