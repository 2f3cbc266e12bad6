"""Letter and digit codes such as 4k7, 3V3, R010 and 100n: the letter stands for the decimal point.

References
----------
IEC 60062:2016, letter and digit code for resistance and capacitance values. The letter u for micro and
V or A as decimal point are common practice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from logbook.core.quantities.tolerance_letters import LETTER_TOLERANCES
from logbook.core.quantities.units import Unit, find_unit, unit_named, with_prefix

_CODE = re.compile(r"([+-]?[0-9]{0,12})([A-Za-zµΩ])([0-9]{0,12})( ?)(.{0,12})")
_OHM = unit_named("Ω")
_POINT_LETTERS = {"R": _OHM, "Ω": _OHM, "V": unit_named("V"), "A": unit_named("A"), "F": unit_named("F")}
_MARKED_ROOTS = {"Ω", "F", "H"}


@dataclass(frozen=True, slots=True)
class LetterCode:
    """What a code says: value and unit, and the tolerance letter, empty where there is none."""

    value: Decimal
    unit: Unit
    letter: str = ""


def _unit_of_letter(letter: str, expected: Unit | None) -> Unit | None:
    """Return the unit the code letter stands for, given what kind of quantity is expected."""
    if expected is None or letter in {"R", "Ω"} or letter == expected.root:
        return _POINT_LETTERS.get(letter)
    if letter == "K":
        return with_prefix("k", expected) if expected.root == "Ω" else None
    return with_prefix("µ" if letter == "u" else letter, expected) or _POINT_LETTERS.get(letter)


def read_letter_code(text: str, expected: Unit | None, *, is_marking: bool) -> LetterCode | None:
    """Read a letter code, or return None where the text is none.

    Parameters
    ----------
    text : str
        In one spelling, see `cleaned`.
    expected : Unit or None
        What the value should convert to; a prefix letter (4k7) says nothing without it.
    is_marking : bool
        Whether the text is known to be a part's marking. Otherwise a last letter counts as a
        tolerance only after decimals (4k7J), because 10kJ is ten kilojoules elsewhere.

    Returns
    -------
    LetterCode or None
        Value in the unit the letter stands for.

    References
    ----------
    IEC 60062:2016.

    Examples
    --------
    >>> code = read_letter_code("4k7J", unit_named("ohm"), is_marking=True)
    >>> code.value, code.unit.symbol, code.letter
    (Decimal('4.7'), 'kΩ', 'J')
    """
    match = _CODE.fullmatch(text)
    if match is None:
        return None
    whole, point, decimals, gap, rest = match.groups()
    tolerance, suffix = ("", None)
    if rest:
        suffix = find_unit(rest)
        if not gap and rest in LETTER_TOLERANCES and (is_marking or decimals):
            tolerance, suffix = rest, None
        elif suffix is None or suffix.symbol != suffix.root or not decimals:
            return None
    unit = _unit_of_letter(point, suffix or expected)
    if unit is None or not (whole.strip("+-") or (decimals and unit.root in _MARKED_ROOTS)):
        return None
    if (suffix and unit.base != suffix.base) or (tolerance and unit.root not in _MARKED_ROOTS):
        return None
    return LetterCode(Decimal(f"{whole}.{decimals}" if decimals else whole), unit, tolerance)
