"""Writing quantities in engineering notation, with the digits their uncertainty justifies."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal

from logbook.core.errors import QuantityError
from logbook.core.quantities.conversion import convert
from logbook.core.quantities.decimals import EXACT, canonical_text, decimal_of
from logbook.core.quantities.unit_table import ENGINEERING_PREFIXES, PREFIX_EXPONENTS
from logbook.core.quantities.units import Unit, as_unit, engineering_family

_FLOAT_DIGITS = 6
_UNCERTAINTY_DIGITS = 2


def _rounded(value: Decimal, last_place: int) -> Decimal:
    return value.quantize(EXACT.scaleb(Decimal(1), Decimal(last_place)), ROUND_HALF_EVEN, context=EXACT)


def _rounded_to_digits(value: Decimal, digits: int) -> Decimal:
    """Round to significant digits; a carry such as 999.96 to 1000 keeps the number of digits."""
    if value.is_zero():
        return _rounded(value, 1 - digits)
    once = _rounded(value, value.adjusted() - digits + 1)
    return _rounded(once, once.adjusted() - digits + 1)


def _checked_digits(digits: int) -> int:
    if isinstance(digits, bool) or not isinstance(digits, int) or not 1 <= digits <= 20:
        raise QuantityError("The number of digits is out of range.", given=str(digits), allowed="1 to 20")
    return digits


def _justified(
    value: Decimal, uncertainty: Decimal | float | None, digits: int | None, *, is_float: bool
) -> Decimal:
    """Round to the digits asked for, else to those the uncertainty justifies, else keep those typed."""
    if digits is not None:
        return _rounded_to_digits(value, _checked_digits(digits))
    spread = Decimal(0) if uncertainty is None else decimal_of(uncertainty, where="uncertainty")
    if spread < 0:
        raise QuantityError("An uncertainty is not below 0.", given=str(spread), allowed="0 or more")
    if spread > 0:
        shown = _rounded_to_digits(spread, _UNCERTAINTY_DIGITS)
        return _rounded(value, shown.adjusted() - _UNCERTAINTY_DIGITS + 1)
    return EXACT.normalize(_rounded_to_digits(value, _FLOAT_DIGITS)) if is_float else value


def _best_unit(value: Decimal, unit: Unit) -> Unit:
    """Return the prefixed unit in which 1 <= |value| < 1000, as near as its prefixes allow."""
    family = engineering_family(unit)
    if value.is_zero() or len(family) < 2:
        return unit
    in_base = EXACT.multiply(value.copy_abs(), unit.factor)
    fitting = [member for member in family if member.factor <= in_base]
    return fitting[-1] if fitting else family[0]


def format_quantity(
    value: Decimal | float,
    unit: Unit | str,
    *,
    uncertainty: Decimal | float | None = None,
    digits: int | None = None,
) -> str:
    """Write a value with its unit in engineering notation.

    Parameters
    ----------
    value : decimal.Decimal or float
        Finite, in `unit`.
    unit : Unit or str
        Unit of `value` and `uncertainty`; its prefix may change in the answer.
    uncertainty : decimal.Decimal, float or None
        In `unit`, 0 or more; the value is rounded to its second significant digit.
    digits : int or None
        Significant digits, 1 to 20; wins over `uncertainty`.

    Returns
    -------
    str
        Such as ``3.298 V``. With neither `uncertainty` nor `digits` a decimal keeps the digits it has, and
        a float shows up to 6.

    Raises
    ------
    QuantityError
        When a number is not finite, the uncertainty is negative or `digits` is out of range.

    Notes
    -----
    Levels in decibels, ratios, times from a minute up and counts take no prefix. A tie is rounded to
    the even digit.

    References
    ----------
    SI Brochure, 9th ed. (2019), Table 7. Two digits of the uncertainty: JCGM 100:2008, 7.2.6.

    Examples
    --------
    >>> format_quantity(Decimal("3298.04"), "mV", uncertainty=Decimal("4.1"))
    '3.2980 V'
    >>> format_quantity(Decimal("0.00047"), "F", digits=3)
    '470 µF'
    """
    own = as_unit(unit)
    number = _justified(
        decimal_of(value, where="value"), uncertainty, digits, is_float=isinstance(value, float)
    )
    shown = _best_unit(number, own)
    text = canonical_text(convert(number, own, shown))
    return f"{text} {shown.symbol}".rstrip()


def format_engineering(value: Decimal | float, digits: int) -> str:
    """Write a plain number with an SI prefix.

    Parameters
    ----------
    value : decimal.Decimal or float
        Finite, without unit.
    digits : int
        Significant digits, 1 to 20.

    Returns
    -------
    str
        Mantissa from 1 to below 1000, a blank and the prefix; no prefix for 0 and for 1 to 999.

    Raises
    ------
    QuantityError
        When the number is not finite or `digits` is out of range.

    References
    ----------
    SI Brochure, 9th ed. (2019), Table 7.

    Examples
    --------
    >>> format_engineering(999.96, 4), format_engineering(0.00047, 4)
    ('1.000 k', '470.0 µ')
    """
    number = _rounded_to_digits(decimal_of(value, where="value"), _checked_digits(digits))
    if number.is_zero():
        return canonical_text(number)
    fitting = [name for name in ENGINEERING_PREFIXES if PREFIX_EXPONENTS[name] <= number.adjusted()]
    prefix = fitting[-1] if fitting else ENGINEERING_PREFIXES[0]
    mantissa = EXACT.scaleb(number, Decimal(-PREFIX_EXPONENTS[prefix]))
    return f"{canonical_text(mantissa)} {prefix}".rstrip()
