"""Rounding an uncertainty, and a result to the digits its uncertainty justifies."""

from __future__ import annotations

from decimal import ROUND_DOWN, ROUND_HALF_EVEN, ROUND_UP, Context, Decimal

from logbook.core.errors import UncertaintyError

# Binary noise sits in the 16th digit; cut it off first, or 0.002 held as 0.0020000000000000005
# would be rounded up to 0.002001.
_NOISE_FREE = Context(prec=12, rounding=ROUND_HALF_EVEN)


def round_up_significant(value: float, digits: int) -> Decimal:
    """Round a positive number up to a number of significant digits.

    Parameters
    ----------
    value : float
        Finite, not below zero.
    digits : int
        Significant digits to keep, 1 to 12.

    Returns
    -------
    Decimal
        The rounded number, in the unit of ``value``; never smaller than the value beyond its 12th digit.

    Raises
    ------
    UncertaintyError
        If the value is negative or not finite.

    References
    ----------
    JCGM 100:2008, 7.2.6 (uncertainties may be rounded up).

    Examples
    --------
    >>> round_up_significant(0.0311769, 4)
    Decimal('0.03118')
    """
    clean = _NOISE_FREE.create_decimal(_checked(Decimal(repr(float(value)))))
    return Context(prec=digits, rounding=ROUND_UP).plus(clean)


def round_reported_uncertainty(uncertainty: Decimal, digits: int = 2) -> Decimal:
    """Round an uncertainty for a report: up, unless what is cut off is not worth a whole digit.

    Parameters
    ----------
    uncertainty : Decimal
        Finite, not below zero.
    digits : int, default 2
        Significant digits to keep, 1 or more.

    Returns
    -------
    Decimal
        The rounded uncertainty, in the same unit.

    Raises
    ------
    UncertaintyError
        If the uncertainty is negative or not finite.

    Notes
    -----
    The guide asks for common sense: 10.47 becomes 11, but 28.05 becomes 28. The line is drawn here at a
    tenth of the last digit kept.

    References
    ----------
    JCGM 100:2008, 7.2.6.

    Examples
    --------
    >>> round_reported_uncertainty(Decimal("10.47")), round_reported_uncertainty(Decimal("28.05"))
    (Decimal('11'), Decimal('28'))
    """
    _checked(uncertainty)
    kept = Context(prec=digits, rounding=ROUND_DOWN).plus(uncertainty)
    if uncertainty - kept <= Decimal(1).scaleb(uncertainty.adjusted() - digits):
        return kept
    return Context(prec=digits, rounding=ROUND_UP).plus(uncertainty)


def round_to_uncertainty(value: Decimal, uncertainty: Decimal, digits: int = 2) -> Decimal:
    """Round a result to the last digit of its reported uncertainty.

    Parameters
    ----------
    value : Decimal
        The result, finite.
    uncertainty : Decimal
        Its uncertainty in the same unit, above zero.
    digits : int, default 2
        Significant digits of the uncertainty.

    Returns
    -------
    Decimal
        The result, in the same unit.

    Raises
    ------
    UncertaintyError
        If the uncertainty is not a finite number above zero.

    References
    ----------
    JCGM 100:2008, 7.2.6.

    Examples
    --------
    >>> round_to_uncertainty(Decimal("10.05762"), Decimal("0.027"))
    Decimal('10.058')
    """
    if uncertainty == 0:
        raise UncertaintyError("The uncertainty is 0.", given="0", allowed="above 0", where="uncertainty")
    step = Decimal(1).scaleb(round_reported_uncertainty(uncertainty, digits).adjusted() - digits + 1)
    return value.quantize(step, rounding=ROUND_HALF_EVEN)


def _checked(value: Decimal) -> Decimal:
    if not value.is_finite() or value < 0:
        raise UncertaintyError(
            f"The uncertainty is {value}.",
            given=str(value),
            allowed="a finite number, 0 or more",
            where="uncertainty",
        )
    return value
