"""Differences of quantities: a level differs by decibels, a temperature by kelvins."""

from __future__ import annotations

from decimal import Decimal

from logbook.core.errors import UnitMismatchError
from logbook.core.quantities.conversion import convert
from logbook.core.quantities.decimals import EXACT
from logbook.core.quantities.reading import parse_quantity
from logbook.core.quantities.units import Unit


def convert_difference(value: Decimal, given: Unit, of: Unit, *, where: str = "") -> Decimal:
    """Return a difference of two values in ``of``, written in a unit a difference may be written in.

    Parameters
    ----------
    value : Decimal
        Size of the difference, in ``given``.
    given : Unit
        A unit that converts into ``of``; dB for any level; K or mK for a temperature in °C.
    of : Unit
        Unit of the values that differ.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Decimal
        The difference in ``of``, exact.

    Raises
    ------
    UnitMismatchError
        When the units have nothing to do with each other.

    References
    ----------
    SI Brochure, 9th ed. (2019), 2.3.1 (the kelvin and the degree Celsius are equal in size) and 4
    (logarithmic quantities).

    Examples
    --------
    >>> from logbook.core.quantities import unit_named
    >>> convert_difference(Decimal("0.5"), unit_named("dB"), unit_named("dBV"))
    Decimal('0.5')
    """
    if of.logarithmic and given.symbol == "dB":
        return value
    if of.base == "°C" and given.base == "K":
        return EXACT.divide(EXACT.multiply(value, given.factor), of.factor)
    return convert(value, given, of, where=where)


def parse_difference(text: str, of: Unit, *, where: str = "", share_of: Decimal | None = None) -> Decimal:
    """Return a typed difference, such as an uncertainty, in the unit of what differs.

    Parameters
    ----------
    text : str
        A bare number is in ``of``; otherwise with a unit.
    of : Unit
        Unit of the values that differ.
    where : str
        Name of the field, for the message.
    share_of : Decimal or None
        The value, in ``of``, that a share in %, ppm or ppb is taken of; None refuses shares.

    Returns
    -------
    Decimal
        The difference in ``of``.

    Raises
    ------
    QuantityError, UnitMismatchError
        When the text cannot be read or its unit does not fit.

    Examples
    --------
    >>> from logbook.core.quantities import unit_named
    >>> parse_difference("30 ppm", unit_named("MHz"), share_of=Decimal(10))
    Decimal('0.00030')
    """
    try:
        quantity = parse_quantity(text, unit=of, where=where)
    except UnitMismatchError:
        quantity = parse_quantity(text, where=where)
    is_share = quantity.unit.is_relative and not of.is_relative and not of.logarithmic and of.base != "°C"
    if is_share and share_of is not None:
        return EXACT.multiply(share_of.copy_abs(), quantity.base_value)
    return convert_difference(quantity.value, quantity.unit, of, where=where)
