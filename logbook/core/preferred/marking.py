"""Codes printed on parts: three and four digits, EIA-96, colour bands."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import TypeVar

from logbook.core.errors import PreferredValueError
from logbook.core.preferred.series import series_values
from logbook.core.quantities import EXACT, MarkedValue, marked_value, unit_named
from logbook.core.quantities.spelling import quoted
from logbook.core.quantities.tolerance_letters import LETTER_TOLERANCES

T = TypeVar("T")

_OHM = unit_named("Ω")
_FARAD = unit_named("F")
_DIGITS = re.compile(r"([0-9]{2,3})([0-9])([A-Z]?)")
_POINT = re.compile(r"([0-9]{0,3})R([0-9]{0,4})([A-Z]?)")

# EIA-96 multiplier letters: common practice, from memory.
_EIA96_EXPONENTS: Mapping[str, int] = MappingProxyType(
    {"Z": -3, "Y": -2, "R": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "E": 4, "F": 5}
)

# IEC 60062:2016, Table 1 (colour code), from memory: digit, exponent, tolerance in percent.
_COLOURS = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white")
_DIGIT_OF: Mapping[str, int] = MappingProxyType({name: digit for digit, name in enumerate(_COLOURS)})
_EXPONENT_OF: Mapping[str, int] = MappingProxyType({**_DIGIT_OF, "gold": -1, "silver": -2, "pink": -3})
_TOLERANCE_OF: Mapping[str, str] = MappingProxyType(
    {
        "brown": "1", "red": "2", "orange": "0.05", "yellow": "0.02", "green": "0.5", "blue": "0.25",
        "violet": "0.1", "grey": "0.01", "gold": "5", "silver": "10",
    }
)  # fmt: skip
_SAME_COLOUR = {"gray": "grey", "purple": "violet"}


def _refused(given: str, reason: str, allowed: str) -> PreferredValueError:
    return PreferredValueError(f"{given} {reason}", given=given, allowed=allowed, where="marking")


def decode_numeric_code(code: str, kind: str = "resistance") -> MarkedValue:
    """Read a three or four digit code; the last digit is the power of ten.

    Parameters
    ----------
    code : str
        Such as 472, 1002, 4R7; a tolerance letter may follow.
    kind : {"resistance", "capacitance"}
        Resistance counts in ohm, capacitance in pF.

    Returns
    -------
    MarkedValue
        In ohm or farad.

    Raises
    ------
    PreferredValueError
        When the text is no such code or the kind is another.

    Notes
    -----
    On capacitors a last digit 8 or 9 means a factor 0.01 or 0.1.

    References
    ----------
    IEC 60062:2016 (numeric marking) and common practice; 8 and 9 on capacitors: EIA-198, from memory.

    Examples
    --------
    >>> int(decode_numeric_code("472").value)
    4700
    >>> float(decode_numeric_code("104", "capacitance").value)
    1e-07
    """
    if kind not in {"resistance", "capacitance"}:
        raise _refused(quoted(kind), "has no numeric code.", "resistance, capacitance")
    plain = code.strip() if isinstance(code, str) and len(code) <= 16 else ""
    number, letter = _number_of_code(plain, is_capacitor=kind == "capacitance")
    if number is None or (letter and letter not in LETTER_TOLERANCES):
        raise _refused(quoted(code), "is not a numeric marking code.", "three or four digits, or 4R7")
    if kind == "resistance":
        return marked_value(number, _OHM, letter, plain)
    return marked_value(EXACT.scaleb(number, Decimal(-12)), _FARAD, letter, plain)


def _number_of_code(plain: str, *, is_capacitor: bool) -> tuple[Decimal | None, str]:
    digits = _DIGITS.fullmatch(plain)
    if digits:
        mantissa, last, letter = digits.groups()
        exponent = int(last) - 10 if is_capacitor and last in "89" else int(last)
        return EXACT.scaleb(Decimal(mantissa), Decimal(exponent)), letter
    point = _POINT.fullmatch(plain)
    if point and (point[1] or point[2]):
        return Decimal(f"{point[1]}.{point[2]}" if point[2] else point[1]), point[3]
    return None, ""


def decode_eia96(code: str) -> MarkedValue:
    """Read an EIA-96 code: two digits for the place in E96, then a multiplier letter.

    Parameters
    ----------
    code : str
        01 to 96 and one of Z, Y or R, X or S, A, B or H, C, D, E, F.

    Returns
    -------
    MarkedValue
        In ohm, with the 1 % the marking stands for.

    Raises
    ------
    PreferredValueError
        When the text is no such code.

    References
    ----------
    EIA-96 marking, common practice (from memory); IEC 60063:2015 for the values.

    Examples
    --------
    >>> int(decode_eia96("01C").value), int(decode_eia96("18A").value)
    (10000, 150)
    """
    match = re.fullmatch(r"([0-9]{2})([A-Z])", code.strip().upper()) if isinstance(code, str) else None
    place = int(match[1]) if match else 0
    if match is None or not 1 <= place <= 96 or match[2] not in _EIA96_EXPONENTS:
        raise _refused(quoted(code), "is not an EIA-96 code.", "01 to 96 and a letter, such as 01C")
    value = EXACT.scaleb(Decimal(series_values("E96")[place - 1]), Decimal(_EIA96_EXPONENTS[match[2]]))
    return marked_value(value, _OHM, "F", code.strip())


def decode_colour_bands(bands: Sequence[str]) -> MarkedValue:
    """Read the colour bands of a resistor.

    Parameters
    ----------
    bands : sequence of str, length 1 or 3 to 6
        Colour names from the band nearest the end: two digits, multiplier and, from four bands on,
        tolerance; from five bands on three digits; a sixth band (temperature coefficient) is not used.
        A single black band is a link of 0 ohm.

    Returns
    -------
    MarkedValue
        In ohm, with its band; three bands mean 20 %.

    Raises
    ------
    PreferredValueError
        When a colour is not known or cannot stand at its place.

    References
    ----------
    IEC 60062:2016, Table 1 (from memory).

    Examples
    --------
    >>> found = decode_colour_bands(["yellow", "violet", "red", "gold"])
    >>> int(found.value), int(found.tolerance_percent)
    (4700, 5)
    """
    names = [_colour(band) for band in bands] if not isinstance(bands, str) and len(bands) <= 6 else []
    text = " ".join(names)
    if names == ["black"]:
        return MarkedValue(Decimal(0), _OHM, None, None, text)
    if len(names) < 3:
        raise _refused(quoted(text), "is not a set of colour bands.", "one black band, or 3 to 6 bands")
    digit_count = 2 if len(names) <= 4 else 3
    digits = [_place(name, _DIGIT_OF, "a digit") for name in names[:digit_count]]
    exponent = _place(names[digit_count], _EXPONENT_OF, "a multiplier")
    value = EXACT.scaleb(Decimal("".join(map(str, digits))), Decimal(exponent))
    percent = Decimal(20)
    if len(names) > 3:
        percent = Decimal(_place(names[digit_count + 1], _TOLERANCE_OF, "a tolerance"))
    offset = EXACT.multiply(value, EXACT.scaleb(percent, Decimal(-2)))
    return MarkedValue(value, _OHM, EXACT.subtract(value, offset), EXACT.add(value, offset), text, percent)


def _colour(band: str) -> str:
    name = band.strip().lower() if isinstance(band, str) and len(band) <= 16 else ""
    name = _SAME_COLOUR.get(name, name)
    if name not in _EXPONENT_OF:
        raise _refused(quoted(band), "is not a band colour.", ", ".join(_EXPONENT_OF))
    return name


def _place(name: str, table: Mapping[str, T], role: str) -> T:
    if name not in table:
        raise _refused(name, f"cannot stand for {role}.", ", ".join(table))
    return table[name]
