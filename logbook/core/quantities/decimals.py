"""Exact decimal numbers: reading them, and writing them without an exponent.

The default decimal context rounds to 28 digits, also on a mere change of sign, so all arithmetic
on readings and limits goes through `EXACT`.
"""

from __future__ import annotations

import decimal
import re
from decimal import Decimal

from logbook.core.errors import QuantityError
from logbook.core.quantities.spelling import cleaned, quoted, shown

# 64 typed digits times a 50-digit unit factor, with room to spare.
EXACT = decimal.Context(
    prec=250, traps=[decimal.InvalidOperation, decimal.DivisionByZero, decimal.Overflow, decimal.Clamped]
)
LONGEST_NUMBER = 64
LARGEST_EXPONENT = 40
# A zero keeps the digits it was typed with through conversions of units: 0e40 GV is 0E+49 V, and still 0.
LARGEST_ZERO = 150

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_ALLOWED = "digits with one decimal point, such as -3.298 or 1.2e-9"


def _refusal(text: str, reason: str, where: str) -> QuantityError:
    return QuantityError(f"{quoted(text)} {reason}", given=shown(text), allowed=_ALLOWED, where=where)


def _reason_against(plain: str) -> str:
    if "," in plain:
        return "holds a comma, which is ambiguous (decimal or thousands); write a point: 1.5."
    if re.search(r"[0-9][ '_][0-9]|\.[0-9]+\.[0-9]", plain):
        return "holds a thousands separator; write the digits without one: 12000."
    if plain.lstrip("+-").lower()[:3] in {"nan", "inf"}:
        return "is not a finite number."
    return "is not a number."


def parse_number(text: str, *, where: str = "") -> Decimal:
    """Read a decimal number as a person or a script writes it.

    Parameters
    ----------
    text : str
        Sign (also U+2212), digits, one point, exponent up to ±40; at most 64 characters.
    where : str
        Name of the field, for the message.

    Returns
    -------
    decimal.Decimal
        The number with the digits that were typed.

    Raises
    ------
    QuantityError
        For a decimal comma, a thousands separator, nan, inf, hexadecimal, or a size beyond 1e±40.

    Examples
    --------
    >>> parse_number("3.300")
    Decimal('3.300')
    >>> parse_number("1e-9")
    Decimal('1E-9')
    """
    plain = cleaned(text, where=where, longest=LONGEST_NUMBER)
    if not _NUMBER.fullmatch(plain):
        raise _refusal(text, _reason_against(plain), where)
    exponent = re.split("[eE]", plain)[1:]
    value = Decimal(plain)
    if (exponent and abs(int(exponent[0])) > LARGEST_EXPONENT) or not _has_sane_size(value):
        raise _refusal(text, f"is outside 1e-{LARGEST_EXPONENT} to 1e{LARGEST_EXPONENT}.", where)
    return value


def _has_sane_size(value: Decimal) -> bool:
    if value.is_zero():
        return abs(int(value.as_tuple().exponent)) <= LARGEST_ZERO
    return abs(value.adjusted()) <= LARGEST_EXPONENT


def decimal_of(value: int | float | Decimal | str, *, where: str = "") -> Decimal:
    """Return a number of any kind as an exact decimal; a float counts as the digits it prints.

    Parameters
    ----------
    value : int, float, decimal.Decimal or str
        Finite, of a size between 1e-40 and 1e40, with at most 64 digits.
    where : str
        Name of the field, for the message.

    Returns
    -------
    decimal.Decimal
        The same number.

    Raises
    ------
    QuantityError
        For booleans, nan, infinities, numbers out of that size, and text `parse_number` refuses.

    Examples
    --------
    >>> decimal_of(0.1)
    Decimal('0.1')
    """
    if isinstance(value, str):
        return parse_number(value, where=where)
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise QuantityError("A number was expected.", given=shown(value), allowed=_ALLOWED, where=where)
    if isinstance(value, int) and value.bit_length() > 4 * LARGEST_EXPONENT:
        raise _refusal("a whole number", f"is beyond 1e{LARGEST_EXPONENT}.", where)
    # A NumPy float prints its type as well, so the built-in float is asked for its digits.
    number = Decimal(repr(float(value))) if isinstance(value, float) else Decimal(value)
    if not number.is_finite():
        raise _refusal(str(number), "is not a finite number.", where)
    if not _has_sane_size(number) or len(number.as_tuple().digits) > LONGEST_NUMBER:
        raise _refusal(str(number)[:40], f"is outside 1e±{LARGEST_EXPONENT} or has over 64 digits.", where)
    return number


def canonical_text(value: Decimal) -> str:
    """Write a decimal without exponent, with the digits it carries.

    Parameters
    ----------
    value : decimal.Decimal
        Finite.

    Returns
    -------
    str
        Plain decimal text; a negative zero loses its sign.

    Raises
    ------
    QuantityError
        When the number is not finite or beyond 1e±150.

    Examples
    --------
    >>> canonical_text(Decimal("3.300")), canonical_text(Decimal("1E+3"))
    ('3.300', '1000')
    """
    if not value.is_finite() or abs(value.adjusted()) > 150:
        raise _refusal(str(value)[:40], "cannot be written as plain digits.", "")
    return format(value.copy_abs() if value.is_zero() else value, "f")


def without_trailing_zeros(value: Decimal) -> Decimal:
    """Drop the zeros a calculation leaves behind the last digit that says something.

    Parameters
    ----------
    value : decimal.Decimal
        Finite.

    Returns
    -------
    decimal.Decimal
        The same number without exponent.

    Examples
    --------
    >>> without_trailing_zeros(Decimal("3.1350"))
    Decimal('3.135')
    """
    shortest = EXACT.normalize(value)
    return shortest.quantize(Decimal(1), context=EXACT) if int(shortest.as_tuple().exponent) > 0 else shortest
