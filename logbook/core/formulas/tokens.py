"""The words of a formula: numbers, names and signs."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from logbook.core.errors import FormulaError
from logbook.core.quantities.spelling import quoted, shown

LONGEST_FORMULA = 500
LONGEST_NAME = 40

_TOKEN = re.compile(
    r"(?P<number>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
    r"|(?P<name>[A-Za-z_][A-Za-z0-9_]*)"
    r"|(?P<sign>\*\*|[-+*/^(),])"
)
# What a text program puts in place of the typed signs.
_SAME_SIGN = str.maketrans(
    {"×": "*", "·": "*", "÷": "/", "−": "-", "\u00a0": " ", "\t": " ", "\n": " ", "\r": " "}
)

TokenKind = Literal["number", "name", "sign", "end"]


@dataclass(frozen=True, slots=True)
class Token:
    """One word of a formula and where it stands (first character is 1)."""

    kind: TokenKind
    text: str
    place: int


def refusal(reason: str, *, given: str, allowed: str = "", place: int | None = None) -> FormulaError:
    """Return the error for a formula that cannot be read.

    Parameters
    ----------
    reason : str
        One sentence.
    given : str
        The piece it is about.
    allowed : str
        What would have been read.
    place : int or None
        Position of the piece, 1 for the first character.

    Returns
    -------
    FormulaError
        To be raised by the caller.
    """
    where = "formula" if place is None else f"formula, character {place}"
    return FormulaError(f"{reason} ({where})", given=given[:40], allowed=allowed, where=where)


def tokens_of(text: str) -> list[Token]:
    """Split a formula into its words.

    Parameters
    ----------
    text : str
        At most 500 characters.

    Returns
    -------
    list of Token
        The last one is the end.

    Raises
    ------
    FormulaError
        When the input is no text, is empty or too long, or holds anything but numbers, names and the signs
        + - * / ** ^ ( ) and comma.
    """
    if not isinstance(text, str):
        raise refusal("A formula is text.", given=shown(text), allowed="text")
    if len(text) > LONGEST_FORMULA:
        raise refusal(
            f"The formula has {len(text)} characters; at most {LONGEST_FORMULA} are read.",
            given=text,
            allowed=f"at most {LONGEST_FORMULA} characters",
        )
    plain = text.translate(_SAME_SIGN)
    tokens: list[Token] = []
    at = 0
    while at < len(plain):
        if plain[at] == " ":
            at += 1
            continue
        token = _token_at(plain, at)
        tokens.append(token)
        at += len(token.text)
    if not tokens:
        raise refusal("The formula is empty.", given=text, allowed="such as vref*(1 + rtop/rbot)")
    return [*tokens, Token("end", "", len(plain) + 1)]


def _token_at(plain: str, at: int) -> Token:
    match = _TOKEN.match(plain, at)
    if match is None:
        raise refusal(
            f"{quoted(plain[at])} has no meaning in a formula.",
            given=plain[at],
            allowed="numbers, names, + - * / ** ^ ( ) and comma",
            place=at + 1,
        )
    found = match.group()
    after = plain[match.end() : match.end() + 1]
    if match.lastgroup == "number" and (after.isalnum() or after in {"_", "."}):
        raise refusal(
            f"{quoted(found + after)} is no number; units and letter codes belong to the parts.",
            given=found + after,
            allowed="a number such as 0.6 or 1e-9, and a sign before a name",
            place=at + 1,
        )
    if match.lastgroup == "name" and len(found) > LONGEST_NAME:
        raise refusal(
            f"{quoted(found)} is too long for a name.",
            given=found,
            allowed=f"at most {LONGEST_NAME} characters",
            place=at + 1,
        )
    kind: TokenKind = "number" if match.lastgroup == "number" else "sign"
    return Token("name" if match.lastgroup == "name" else kind, found, at + 1)
