"""One spelling for typed text: the signs people use for the same thing become one sign."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal

from logbook.core.errors import QuantityError

LONGEST_TEXT = 100
# Most of what a script sends needs no other spelling: visible signs of ASCII without a blank.
_PLAIN = re.compile("[!-~]+")

_SAME_SIGN = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u03bc": "µ",  # Greek mu; the micro sign U+00B5 is kept
        "\u2126": "Ω",  # ohm sign; Greek capital omega U+03A9 is kept
        "\u212a": "K",  # kelvin sign
        "\u2103": "°C",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\t": " ",
    }
)


_MOST_SHOWN = 40


def shown(given: object) -> str:
    """Return what was given, short enough and plain enough to be told.

    Parameters
    ----------
    given : object
        Anything; text and numbers are shown, of anything else only what it is, in a word.

    Returns
    -------
    str
        At most 40 characters of it; control characters become blanks.

    Examples
    --------
    >>> shown("3.3 V"), shown(None), shown([1, 2])
    ('3.3 V', 'nothing', 'a list')
    """
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, int | float | Decimal):
        given = str(given)
    if isinstance(given, str):
        plain = "".join(sign if sign.isprintable() else " " for sign in given[:_MOST_SHOWN])
        return plain + ("…" if len(given) > _MOST_SHOWN else "")
    if given is None:
        return "nothing"
    return (
        "an object" if isinstance(given, Mapping) else "a list" if isinstance(given, Iterable) else "a thing"
    )


def quoted(given: object) -> str:
    """Return what was given for a sentence: text in quotation marks, anything else in a word.

    Parameters
    ----------
    given : object
        Anything.

    Returns
    -------
    str
        See `shown`.

    Examples
    --------
    >>> quoted("bananas")
    "'bananas'"
    """
    return f"'{shown(given)}'" if isinstance(given, str) else shown(given)


def cleaned(text: str, *, where: str = "", longest: int = LONGEST_TEXT) -> str:
    """Return the text with one spelling for each sign, without blanks at the ends.

    Parameters
    ----------
    text : str
        What was typed, at most `longest` characters.
    where : str
        Name of the field, for the message.
    longest : int
        Longest text that is looked at.

    Returns
    -------
    str
        Printable text with single blanks.

    Raises
    ------
    QuantityError
        When the input is no text, is empty, is too long, or holds control characters.
    """
    if not isinstance(text, str):
        raise QuantityError("Text was expected.", given=shown(text), allowed="text", where=where)
    if len(text) > longest:
        raise QuantityError(
            f"{quoted(text)} has {len(text)} characters; at most {longest} are read.",
            given=shown(text),
            allowed=f"at most {longest} characters",
            where=where,
        )
    if _PLAIN.fullmatch(text):
        return text
    plain = text.strip(" \t\r\n").translate(_SAME_SIGN)
    plain = " ".join(part for part in plain.split(" ") if part)
    if not plain:
        raise QuantityError("Nothing was given.", given=shown(text), allowed="a value", where=where)
    if not plain.isprintable():
        raise QuantityError(
            f"{quoted(text)} holds characters that cannot be printed.",
            given=shown(text),
            allowed="printable characters",
            where=where,
        )
    return plain
