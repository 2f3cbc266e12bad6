"""Exact conversions between units, and a clear refusal where there is none."""

from __future__ import annotations

from decimal import Decimal

from logbook.core.errors import UnitMismatchError
from logbook.core.quantities.decimals import EXACT
from logbook.core.quantities.units import Unit


def mismatch(given: Unit, wanted: Unit, *, where: str = "") -> UnitMismatchError:
    """Return the error for two units that do not convert, naming both and why.

    Parameters
    ----------
    given, wanted : Unit
        Units of different bases.
    where : str
        Name of the field, for the message.

    Returns
    -------
    UnitMismatchError
        To be raised by the caller.
    """
    return UnitMismatchError(
        f"{given.name} cannot be converted into {wanted.name}{_why_not(given, wanted)}.",
        given=given.symbol,
        allowed=f"a unit that converts into {wanted.name}",
        where=where,
    )


def _why_not(given: Unit, wanted: Unit) -> str:
    bases = {given.base, wanted.base}
    if bases == {"K", "°C"}:
        return ": K is for temperature differences, °C for temperatures"
    if given.logarithmic != wanted.logarithmic:
        return ": a level in decibels needs its reference, so convert it before entering"
    if given.logarithmic:
        return ": the two levels have different references"
    if bases <= {"V", "Vrms", "Vpp", "Vpk"} or bases <= {"A", "Arms", "App"}:
        return ": that depends on the wave form"
    return ""


def convert(value: Decimal, given: Unit, wanted: Unit, *, where: str = "") -> Decimal:
    """Convert a value between two units in exact decimal arithmetic.

    Parameters
    ----------
    value : decimal.Decimal
        Value in the unit `given`.
    given, wanted : Unit
        Units of one base.
    where : str
        Name of the field, for the message.

    Returns
    -------
    decimal.Decimal
        Value in the unit `wanted`; exact, except that divisions by 60, by 3 or by π end after 250 digits.

    Raises
    ------
    UnitMismatchError
        When the two units have different bases; the message names both.

    Examples
    --------
    >>> from logbook.core.quantities.units import unit_named
    >>> convert(Decimal("3465"), unit_named("mV"), unit_named("V"))
    Decimal('3.465')
    """
    if given.base != wanted.base:
        raise mismatch(given, wanted, where=where)
    if given.factor == wanted.factor:
        return value
    return EXACT.divide(EXACT.multiply(value, given.factor), wanted.factor)
