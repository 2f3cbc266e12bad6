"""Parts as lines of text: ``rtop = 45.3k 1 %``, one part a line.

A line is the name, an equals sign and pieces apart by commas: the value with its tolerance or the lowest
and the highest value; then, where they are known, temperature coefficient, temperatures and reference.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from logbook.common.errors import InvalidInputError

EXAMPLE = "such as rtop = 45.3k 1 % or vref = 0.788 V to 0.812 V"
LONGEST_LINE = 200
_VALUE = re.compile(r"([+-]?[0-9.][^\s±%]*(?: *(?![0-9+\-±])[^\s0-9±][^\s±]*)?)\s*(.*)")
_RANGE = re.compile(r"(.+?)\s*(?:\bto\b|\.\.)\s*(.+)")
_TEMPCO = re.compile(r".*(?:ppm|%) ?/ ?(?:K|°C)")
_BOTH_WAYS = re.compile(r"(?:±|\+/-|\+-)\s*")
_DECIMAL_COMMA = re.compile(r"\d,\d[^\s,]*")
# What belongs into a piece of its own, written after a value without the comma between them.
_JOINED = re.compile(
    r"\s((?:[\d.]+ *(?:ppm|%) ?/ ?(?:K|°C)|reference |[-+]?[\d.]+ *(?:°C)? *(?:to|\.\.) *.*°C).*)$"
)
_DEGREES = re.compile(r".*°C")


def parts_of_lines(text: str) -> dict[str, dict[str, Any]]:
    """Read parts, one a line; empty lines do not count.

    Raises
    ------
    InvalidInputError
        Naming the line that cannot be read.
    """
    parts: dict[str, dict[str, Any]] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        name, equals, rest = (piece.strip() for piece in line.partition("="))
        if not (name and equals and rest) or len(line) > LONGEST_LINE:
            raise _unreadable(number, "cannot be read", line)
        if name in parts:
            raise _unreadable(number, f"names {name} a second time", line)
        parts[name] = _part(number, rest)
    return parts


def lines_of_parts(parts: Mapping[str, Mapping[str, Any]]) -> str:
    """Write parts, one a line, so that they can be read again."""
    return "\n".join(f"{name} = {part_text(part)}" for name, part in parts.items())


def part_text(part: Mapping[str, Any]) -> str:
    """Write what stands behind the equals sign of a part."""
    pieces = []
    nominal, tolerance = _with_unit(part.get("nominal"), part), str(part.get("tolerance", ""))
    if nominal:
        apart = "" if not tolerance or tolerance.startswith(("+", "-", "±")) else "± "
        pieces.append(f"{nominal} {apart}{tolerance}".rstrip())
    if "low" in part:
        pieces.append(f"{_with_unit(part['low'], part)} to {_with_unit(part['high'], part)}")
    if "tempco" in part:
        tempco = str(part["tempco"])
        pieces.append(tempco if "/" in tempco else f"{tempco} ppm/K")
    if "temperature" in part:
        degrees = part["temperature"]
        pieces.append(f"{_degrees(degrees['low'])} to {_degrees(degrees['high'])} °C")
        if "reference" in degrees:
            pieces.append(f"reference {_degrees(degrees['reference'])} °C")
    return ", ".join(pieces)


def _part(number: int, text: str) -> dict[str, Any]:
    comma = _DECIMAL_COMMA.search(text)
    if comma:
        pointed = comma[0].replace(",", ".")
        raise _unreadable(number, f"holds a decimal comma; write {pointed} (commas part the pieces)", text)
    first, *others = pieces = [piece.strip() for piece in text.split(",")]
    joined = next(filter(None, map(_JOINED.search, pieces)), None)
    if joined:
        raise _unreadable(number, f"needs a comma before '{joined[1]}'", text)
    part = _valued(number, first)
    degrees: dict[str, str] = {}
    for piece in others:
        ends = _RANGE.fullmatch(piece)
        if piece.startswith("reference "):
            degrees["reference"] = _degrees(piece.removeprefix("reference "))
        elif ends and "tempco" in part and _DEGREES.fullmatch(piece):
            degrees |= {"low": _degrees(ends[1]), "high": _degrees(ends[2])}
        elif ends:
            part |= {"low": ends[1], "high": ends[2]}
        elif _TEMPCO.fullmatch(piece):
            part["tempco"] = piece
        else:
            raise _unreadable(number, f"has '{piece}', which is no range, coefficient or reference", text)
    return {**part, "temperature": degrees} if degrees else part


def _valued(number: int, text: str) -> dict[str, Any]:
    ends = _RANGE.fullmatch(text)
    if ends:
        return {"low": ends[1], "high": ends[2]}
    found = _VALUE.fullmatch(text)
    if found is None:
        raise _unreadable(number, "has no value that can be read", text)
    nominal, tolerance = found[1].strip(), _BOTH_WAYS.sub("", found[2].strip(), count=1)
    return {"nominal": nominal, "tolerance": tolerance} if tolerance else {"nominal": nominal}


def _unreadable(number: int, reason: str, given: str) -> InvalidInputError:
    return InvalidInputError.of("parts", f"line {number} {reason}", given=given, allowed=EXAMPLE)


def _with_unit(given: Any, part: Mapping[str, Any]) -> str:
    """Return a value with the unit its part states for plain numbers."""
    text = "" if given is None else str(given)
    unit = part.get("unit", "")
    return f"{text} {unit}" if unit and re.fullmatch(r"[-+0-9.eE]+", text) else text


def _degrees(given: Any) -> str:
    return str(given).strip().removesuffix("°C").strip()
