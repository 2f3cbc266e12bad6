"""From a nominal value and its tolerance to bounds, exactly."""

from __future__ import annotations

import re
from decimal import Decimal

from logbook.core.errors import LimitError
from logbook.core.limits.limits import Limits
from logbook.core.quantities import (
    EXACT,
    Quantity,
    Unit,
    convert_difference,
    mismatch,
    parse_number,
    parse_quantity,
    without_trailing_zeros,
)

_BARE = re.compile(r"[0-9.]+(?:[eE][+-]?[0-9]+)?")
_SHARE = re.compile(r"(?:%|ppm|ppb|percent)$")


def read_nominal(text: str, tolerances: tuple[str, ...], expected: Unit | None, where: str) -> Quantity:
    """Return the nominal before a tolerance; in 3.3 ± 0.1 V the unit counts for both.

    Parameters
    ----------
    text : str
        What stands before the tolerance.
    tolerances : tuple of str
        The tolerances after it.
    expected : Unit or None
        Unit of a bare number; it wins over the unit of the tolerance.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Quantity
        The nominal in its unit.

    Raises
    ------
    QuantityError, UnitMismatchError
        When the text cannot be read or does not fit `expected`.
    """
    written = next((tolerance for tolerance in tolerances if not _BARE.fullmatch(tolerance)), None)
    if expected is None and written and not _is_share(written) and _BARE.fullmatch(text.lstrip("+-")):
        expected = parse_quantity(written, where=where).unit
    return parse_quantity(text, unit=expected, where=where)


def _is_share(text: str) -> bool:
    return _SHARE.search(text) is not None


def read_symmetric(nominal: Quantity | None, tolerance: str, expected: Unit | None, where: str) -> Limits:
    """Return the limits of nominal ± tolerance.

    Parameters
    ----------
    nominal : Quantity or None
        None for a tolerance around 0.
    tolerance : str
        Absolute in a unit of the nominal, or a share of it in %, ppm or ppb; 0 or more.
    expected : Unit or None
        Unit of a bare number.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Limits
        In the unit of the nominal.

    Raises
    ------
    LimitError
        When the tolerance is negative, or a share of a nominal that has none (dB, °C, %).
    QuantityError, UnitMismatchError
        When the tolerance cannot be read or does not fit the nominal.
    """
    return read_asymmetric(nominal, tolerance, tolerance, expected, where)


def read_asymmetric(
    nominal: Quantity | None, plus: str, minus: str, expected: Unit | None, where: str
) -> Limits:
    """Return the limits of nominal + plus / - minus; parameters as in `read_symmetric`.

    Parameters
    ----------
    nominal : Quantity or None
        None for tolerances around 0.
    plus, minus : str
        Sizes without sign; the unit written on one counts for both.
    expected : Unit or None
        Unit of bare numbers.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Limits
        In the unit of the nominal.

    Raises
    ------
    LimitError
        When a tolerance is negative, a share of a nominal that has none (dB, °C, %), or a bare number
        beside a nominal with a unit.
    QuantityError, UnitMismatchError
        When a tolerance cannot be read or does not fit the nominal.
    """
    _refuse_bare(nominal, plus, minus, expected, where)
    default = expected if nominal is None else nominal.unit
    upper = _tolerance(plus, _unit_written(minus, plus) or default, where)
    lower = _tolerance(minus, _unit_written(plus, minus) or default, where)
    centre = _around_zero(upper, expected, where) if nominal is None else nominal
    above = _size(centre, upper, has_nominal=nominal is not None, where=where)
    below = _size(centre, lower, has_nominal=nominal is not None, where=where)
    return Limits(
        "count" if centre.unit.is_count else "number",
        without_trailing_zeros(EXACT.subtract(centre.value, below)),
        without_trailing_zeros(EXACT.add(centre.value, above)),
        centre.unit,
        nominal=centre.value,
    )


def _refuse_bare(nominal: Quantity | None, plus: str, minus: str, expected: Unit | None, where: str) -> None:
    """Refuse 3.3 V ± 5: where a bare tolerance exceeds the value, a percent sign was forgotten."""
    if nominal is None or expected is not None or not nominal.unit.symbol:
        return
    if not (_BARE.fullmatch(plus) and _BARE.fullmatch(minus)) or nominal.value.is_zero():
        return
    if max(parse_number(one, where=where) for one in (plus, minus)) > abs(nominal.value):
        raise LimitError(
            f"± {plus} of what? It exceeds the nominal value and has no unit.",
            given=f"± {plus}",
            allowed=f"{plus} % or {plus} {nominal.unit.symbol}",
            where=where,
        )


def _around_zero(tolerance: Quantity, expected: Unit | None, where: str) -> Quantity:
    """Return the zero a tolerance without nominal lies around; a share of zero would be no tolerance."""
    if expected is not None and expected.base != tolerance.unit.base:
        if tolerance.unit.is_relative:
            raise LimitError(
                f"{tolerance.text} of what? There is no nominal value.",
                given=tolerance.text,
                allowed=f"a nominal value in {expected.name}, such as 3.3 V ± 5 %",
                where=where,
            )
        raise mismatch(tolerance.unit, expected, where=where)
    return Quantity(Decimal(0), tolerance.unit, "")


def _unit_written(there: str, here: str) -> Unit | None:
    """Return the unit written on the other tolerance where this one is a bare number."""
    if _BARE.fullmatch(here) and not _BARE.fullmatch(there):
        return parse_quantity(there).unit
    return None


def _tolerance(text: str, default: Unit | None, where: str) -> Quantity:
    """Read one tolerance; a share (5 %) is read as it stands, whatever the nominal is in."""
    if _is_share(text) or _is_difference(text, default):
        tolerance = parse_quantity(text, where=where)
    else:
        tolerance = parse_quantity(text, unit=default, where=where)
    if tolerance.value < 0:
        raise LimitError("A tolerance has no sign of its own.", given=text, allowed="0 or more", where=where)
    return tolerance


def _is_difference(text: str, of: Unit | None) -> bool:
    """Tell 1 dB around a level and 3 K around a temperature, which differ from what they lie around."""
    if of is None or _BARE.fullmatch(text):
        return False
    return (of.logarithmic and text.endswith("dB")) or (of.base == "°C" and text.endswith("K"))


def _size(centre: Quantity, tolerance: Quantity, *, has_nominal: bool, where: str) -> Decimal:
    """Return the tolerance in the unit of the centre, as a size."""
    is_share = has_nominal and tolerance.unit.is_relative and tolerance.unit != centre.unit
    if has_nominal and tolerance.unit.is_relative and _has_no_share(centre, tolerance):
        raise LimitError(
            f"{tolerance.unit.symbol} of a value in {centre.unit.symbol} can be read in two ways.",
            given=tolerance.text,
            allowed=f"both limits, such as 48 to 52 {centre.unit.symbol}",
            where=where,
        )
    if not is_share:
        return convert_difference(tolerance.value, tolerance.unit, centre.unit, where=where)
    return EXACT.multiply(centre.value.copy_abs(), tolerance.base_value)


def _has_no_share(centre: Quantity, tolerance: Quantity) -> bool:
    """Tell a level or a Celsius temperature, and 50 % ± 2 %, where points and shares are both meant."""
    if centre.unit.logarithmic or centre.unit.base == "°C":
        return True
    return centre.unit.is_relative and not centre.value.is_zero()
