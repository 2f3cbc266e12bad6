"""One spelling for typed text: the signs people use for the same thing become one sign."""

from __future__ import annotations

from logbook.core.errors import QuantityError

LONGEST_TEXT = 100

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


def quoted(text: object) -> str:
    """Return what was given, short enough and plain enough for a message.

    Parameters
    ----------
    text : object
        Anything; only text is shown, of anything else its type.

    Returns
    -------
    str
        At most 40 characters of it in quotation marks.
    """
    shown = text[:40] if isinstance(text, str) else str(type(text).__name__)
    return repr(shown) + ("…" if isinstance(text, str) and len(text) > 40 else "")


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
        raise QuantityError("Text was expected.", given=quoted(text), allowed="text", where=where)
    if len(text) > longest:
        raise QuantityError(
            f"{quoted(text)} has {len(text)} characters; at most {longest} are read.",
            given=quoted(text),
            allowed=f"at most {longest} characters",
            where=where,
        )
    plain = text.strip(" \t\r\n").translate(_SAME_SIGN)
    plain = " ".join(part for part in plain.split(" ") if part)
    if not plain:
        raise QuantityError("Nothing was given.", given=quoted(text), allowed="a value", where=where)
    if not plain.isprintable():
        raise QuantityError(
            f"{quoted(text)} holds characters that cannot be printed.",
            given=quoted(text),
            allowed="printable characters",
            where=where,
        )
    return plain
