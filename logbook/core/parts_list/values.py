"""What the value of a part means, so that a respelling is no change: 4k7, 4.7 kΩ and 4700 are one value."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from logbook.core.errors import CoreError
from logbook.core.quantities import parse_marked_value, parse_quantity

# Class letters of IEEE 315-1975 clause 22 and common practice; from memory.
KINDS: Mapping[str, str] = MappingProxyType(
    {"R": "resistance", "C": "capacitance", "L": "inductance", "Y": "frequency", "X": "frequency"}
)
LONGEST = 500
_MARKED = {"resistance", "capacitance", "inductance"}
_WORDS = re.compile(r"[\s,;/()]+")

Meaning = tuple[object, ...]


def value_meaning(text: str, letters: str = "") -> Meaning:
    """Return what a value says, equal for every way to write it.

    Parameters
    ----------
    text : str
        As it stands in the bill, such as ``100n 50V X7R``.
    letters : str
        Class letters of the designator; they say what a number without unit is.

    Returns
    -------
    tuple
        Comparable by ``==``; values that cannot be read are compared as text without regard to case.

    Notes
    -----
    The first word is read as the value of the part, with its tolerance letter; other words as quantities
    where they carry a unit. Their order does not matter.

    References
    ----------
    IEC 60062:2016, letter and digit code.

    Examples
    --------
    >>> value_meaning("4k7", "R") == value_meaning("4.7 kΩ", "R")
    True
    >>> value_meaning("100n 50V", "C") == value_meaning("0.1 µF / 50 V", "C")
    True
    """
    words = [word for word in _WORDS.split(text[:LONGEST]) if word]
    main, *others = list(_read(words, KINDS.get(letters, ""))) or [""]
    return (main, *sorted(map(repr, others)))


def text_meaning(text: str) -> str:
    """Return a name such as a footprint or a part number without regard to case and spaces.

    Parameters
    ----------
    text : str
        As it stands in the bill.

    Returns
    -------
    str
        Comparable by ``==``.

    Examples
    --------
    >>> text_meaning(" SOT-23  5") == text_meaning("sot-23 5")
    True
    """
    return " ".join(text.casefold().split())


def _read(words: list[str], kind: str) -> Iterator[object]:
    place = 0
    while place < len(words):
        pair = " ".join(words[place : place + 2])
        # "4.7 kΩ" is one value in two words.
        joined = _quantity(pair, kind if place == 0 else "") if place + 1 < len(words) else None
        if joined is not None:
            yield joined
            place += 2
            continue
        alone = _quantity(words[place], kind if place == 0 else "")
        yield text_meaning(words[place]) if alone is None else alone
        place += 1


def _quantity(text: str, kind: str) -> tuple[object, ...] | None:
    try:
        if kind in _MARKED:
            marked = parse_marked_value(text, kind)
            band = [None if end is None else _plain(end) for end in (marked.low, marked.high)]
            return (marked.unit.base, _plain(marked.value), *band)
        found = parse_quantity(text, kind=kind or None)
    except CoreError:
        return None
    if not kind and not found.unit.symbol:
        return None
    return found.unit.base, _plain(found.base_value)


def _plain(value: object) -> str:
    """Write a decimal the same way whatever digits it was typed with."""
    return f"{value.normalize():f}" if hasattr(value, "normalize") else str(value)
