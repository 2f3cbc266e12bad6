"""Reading typed quantities: 3.298 V, 4k7, 100n, 12.288 MHz, -98 dBV."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from logbook.core.errors import QuantityError
from logbook.core.quantities.conversion import mismatch
from logbook.core.quantities.decimals import EXACT, parse_number
from logbook.core.quantities.letter_codes import read_letter_code
from logbook.core.quantities.quantity import Quantity
from logbook.core.quantities.spelling import cleaned, quoted, shown
from logbook.core.quantities.units import (
    DIMENSIONLESS,
    Unit,
    as_unit,
    find_unit,
    unit_named,
    unknown_unit,
    with_prefix,
)

KINDS: Mapping[str, Unit] = MappingProxyType(
    {
        "resistance": unit_named("Ω"),
        "capacitance": unit_named("F"),
        "inductance": unit_named("H"),
        "voltage": unit_named("V"),
        "current": unit_named("A"),
        "frequency": unit_named("Hz"),
        "time": unit_named("s"),
    }
)
PART_KINDS = {"resistance", "capacitance", "inductance"}
_NUMBER_FIRST = re.compile(r"([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?) ?(.*)")
_PREFIX_ONLY = re.compile("[fpnµumkKMGT]")


def unit_of_kind(kind: str, *, where: str = "kind") -> Unit:
    """Return the base unit of a kind of quantity.

    Parameters
    ----------
    kind : str
        resistance, capacitance, inductance, voltage, current, frequency or time.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Unit
        The SI unit of that kind.

    Raises
    ------
    QuantityError
        For any other word.

    Examples
    --------
    >>> unit_of_kind("capacitance").symbol
    'F'
    """
    if not isinstance(kind, str) or kind not in KINDS:
        raise QuantityError(
            f"{quoted(kind)} is not a kind of quantity.",
            given=shown(kind),
            allowed=", ".join(KINDS),
            where=where,
        )
    return KINDS[kind]


def expected_unit(unit: str | Unit | None, kind: str | None, where: str) -> Unit | None:
    """Return the unit a value should convert into.

    Parameters
    ----------
    unit : str, Unit or None
        Unit asked for.
    kind : str or None
        Kind of quantity asked for.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Unit or None
        None where nothing is known.

    Raises
    ------
    QuantityError
        When the unit or the kind is not known.
    UnitMismatchError
        When unit and kind contradict each other.
    """
    expected = None if unit is None else as_unit(unit)
    if kind is None:
        return expected
    of_kind = unit_of_kind(kind)
    if expected is not None and expected.base != of_kind.base:
        raise mismatch(expected, of_kind, where=where)
    return expected or of_kind


def _with_bare_prefix(number: str, prefix: str, expected: Unit, where: str) -> tuple[Decimal, Unit] | None:
    """Read 4.7k where the quantity is known: the prefix belongs to the expected unit."""
    letter = "k" if prefix == "K" and expected.root == "Ω" else prefix.replace("u", "µ")
    unit = with_prefix(letter, expected)
    return None if unit is None else (parse_number(number, where=where), unit)


def _read_prefixed(
    plain: str, number: str, unit_text: str, expected: Unit | None, *, is_marking: bool, where: str
) -> tuple[Decimal, Unit, str] | None:
    """Read what needs the expected unit to make sense: 4k7, 100n, 4.7k; None where it is neither."""
    code = read_letter_code(plain, expected, is_marking=is_marking)
    if code is not None:
        return code.value, code.unit, code.letter
    if expected is not None and number and _PREFIX_ONLY.fullmatch(unit_text):
        prefixed = _with_bare_prefix(number, unit_text, expected, where)
        return None if prefixed is None else (*prefixed, "")
    return None


def _read_plain_prefixed(
    plain: str, number: str, unit_text: str, where: str
) -> tuple[Decimal, Unit, str] | None:
    """Read 4k83 or 4.83k as the plain number 4830: the prefix has no unit to stay with."""
    found = _read_prefixed(plain, number, unit_text, KINDS["resistance"], is_marking=False, where=where)
    if found is None or found[2] or found[1].root != "Ω":
        return None
    return EXACT.multiply(found[0], found[1].factor), DIMENSIONLESS, ""


def read_value(
    plain: str, expected: Unit | None, *, is_marking: bool, where: str
) -> tuple[Decimal, Unit, str]:
    """Return value, unit and tolerance letter of a text; the order of the attempts is the grammar.

    Parameters
    ----------
    plain : str
        In one spelling, see `cleaned`.
    expected : Unit or None
        Unit of a bare number, and of a prefix without unit.
    is_marking : bool
        Whether the text is known to be a part's marking, see `read_letter_code`.
    where : str
        Name of the field, for the message.

    Returns
    -------
    tuple of decimal.Decimal, Unit and str
        The letter is empty where there is none. A point letter (3V3) may bring a unit that does not
        convert into `expected`.

    Raises
    ------
    QuantityError
        When the text cannot be read.
    UnitMismatchError
        When a written unit does not convert into `expected`.
    """
    match = _NUMBER_FIRST.fullmatch(plain)
    number, unit_text = match.groups() if match else ("", plain)
    if number and not unit_text:
        return parse_number(number, where=where), expected or DIMENSIONLESS, ""
    named = find_unit(unit_text) if number else None
    if named is not None and (expected is None or named.base == expected.base):
        return parse_number(number, where=where), named, ""
    if expected == DIMENSIONLESS:
        found = _read_plain_prefixed(plain, number, unit_text, where)
    else:
        found = _read_prefixed(plain, number, unit_text, expected, is_marking=is_marking, where=where)
    if found is not None:
        return found
    if named is not None and expected is not None:
        raise mismatch(named, expected, where=where)
    raise _refusal(plain, number, unit_text, expected, where)


def _refusal(plain: str, number: str, unit_text: str, expected: Unit | None, where: str) -> QuantityError:
    """Return the error that names the likeliest slip."""
    if "," in plain:
        pointed, joined = plain.replace(",", "."), plain.replace(",", "")
        reason = f"holds a comma, which is ambiguous (decimal or thousands); write {pointed} or {joined}."
    elif re.match(r"[+-]?[0-9]*\.[0-9]*\.", plain):
        reason = "has more than one decimal point; write one number, such as 1.23."
    elif re.match(r"[+-]?[0-9.]+[ '_][0-9]", plain):
        reason = "holds a thousands separator; write the digits without one: 12000."
    elif not number:
        reason = "does not begin with a number."
    elif expected is None and re.fullmatch(r"[fpnµumkKMGT][0-9]*[A-Z]?", unit_text):
        reason = "holds a prefix but no unit, and nothing here says what is measured; add the unit: 4.7 kΩ."
    else:
        return unknown_unit(unit_text, where=where)
    return QuantityError(
        f"{quoted(plain)} {reason}",
        given=shown(plain),
        allowed="a number and a unit, such as 3.298 V, 4.7 kΩ, 100 nF, -98 dBV",
        where=where,
    )


def parse_quantity(
    text: str, *, unit: str | Unit | None = None, kind: str | None = None, where: str = ""
) -> Quantity:
    """Read a quantity as people write it.

    Parameters
    ----------
    text : str
        A number with a unit, or without one where `unit` or `kind` says it; a letter code such as
        4k7 or 3V3; at most 100 characters.
    unit : str, Unit or None
        Unit a bare number is in, and that a written unit must convert into.
    kind : str or None
        resistance, capacitance, inductance, voltage, current, frequency or time.
    where : str
        Name of the field, for the message.

    Returns
    -------
    Quantity
        The value in the unit as typed, with the text. Without any unit a plain number.

    Raises
    ------
    QuantityError
        When the text cannot be read, or holds a decimal comma.
    UnitMismatchError
        When the unit written does not convert into the one expected; the message names both.

    Notes
    -----
    A prefix alone (4.7k, 36u) belongs to the expected unit without its own prefix: 36u where mV is
    expected is 36 µV. A unit that fits wins over a prefix: 5m is five metres where a length is expected,
    five millivolts where a voltage is.

    References
    ----------
    IEC 60062:2016, letter and digit code. SI Brochure, 9th ed. (2019), 5.4.

    Examples
    --------
    >>> parse_quantity("3298 mV", unit="V").to("V")
    Decimal('3.298')
    >>> parse_quantity("4k7", kind="resistance").to("Ω") == 4700
    True
    """
    plain = cleaned(text, where=where)
    expected = expected_unit(unit, kind, where)
    value, found, _ = read_value(plain, expected, is_marking=kind in PART_KINDS, where=where)
    if expected is not None and found.base != expected.base:
        raise mismatch(found, expected, where=where)
    return Quantity(value, found, text.strip())
