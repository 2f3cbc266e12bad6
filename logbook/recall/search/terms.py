"""What a question asks for: terms that must all be met, each in one of several spellings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from logbook.recall.search.tokens import (
    LONGEST,
    chunks_of,
    is_value,
    joined,
    main_key,
    numbered,
    parts_of,
    value_of,
    with_unit,
)

LONGEST_QUESTION = 400
MOST_CHUNKS = 12
# Project and serial alone, or with revision, connector and check character.
LABEL_WORDS = (2, 5)
SHORTEST_PREFIX = 2
SHORTEST_NUMBER_PREFIX = 4
# A word and a number that belong together and are met in two places of a text.
APART = 0.4


@dataclass(frozen=True)
class Piece:
    """One token; as a beginning where ``is_prefix``; ``near`` are words it may have been meant for.

    ``is_apart``: it was asked for together with its neighbour, and here it is met without it.
    """

    token: str
    is_prefix: bool = False
    near: tuple[str, ...] = ()
    is_apart: bool = False

    def degree(self, tokens: Sequence[str] | frozenset[str]) -> float:
        """Say how well tokens meet this: 1 the same, 0.8 begun so, 0.6 meant perhaps, 0 not at all."""
        return self._spelt(tokens) * (APART if self.is_apart else 1.0)

    def _spelt(self, tokens: Sequence[str] | frozenset[str]) -> float:
        if self.token in tokens:
            return 1.0
        if self.is_prefix and any(token.startswith(self.token) for token in tokens):
            return 0.8
        return 0.6 if any(word in tokens for word in self.near) else 0.0


Option = tuple[Piece, ...]


@dataclass(frozen=True)
class Term:
    """Something to be found: every piece of one of the options. ``keys`` are those it may be itself."""

    options: tuple[Option, ...]
    keys: frozenset[str]

    def degree(self, tokens: frozenset[str]) -> float:
        """Say how well tokens meet the best option, which is as good as its worst piece."""
        return max(min(piece.degree(tokens) for piece in option) for option in self.options)

    def widened(self, near: Callable[[str], tuple[str, ...]]) -> Term:
        """Return the term with the words each of its pieces may have been meant for."""
        options = (
            tuple(replace(piece, near=near(piece.token)) for piece in option) for option in self.options
        )
        return replace(self, options=tuple(options))


def terms_of(question: str) -> tuple[Term, ...]:
    """Read a question. At most twelve chunks of its first 400 characters count."""
    chunks = list(islice(chunks_of(question[:LONGEST_QUESTION]), MOST_CHUNKS))
    terms: list[Term] = []
    while chunks:
        both = _pair(*chunks[:2]) if len(chunks) > 1 else ""
        taken = chunks[: 2 if both else 1]
        del chunks[: len(taken)]
        terms.append(_term(taken, both))
    return tuple(terms)


def board_on_label(question: str) -> tuple[str, str] | None:
    """Return project and serial where a question may be a label's code: project, serial and what follows."""
    words = [main_key(word) for word in chunks_of(question[:LONGEST_QUESTION].replace("-", " "))]
    return (words[0], words[1]) if LABEL_WORDS[0] <= len(words) <= LABEL_WORDS[1] else None


def _pair(one: str, two: str) -> str:
    """Return two chunks as one where they belong together: a value and its unit, a key and its number."""
    return numbered(one, two) or with_unit(one, two)


def _term(chunks: Sequence[str], both: str) -> Term:
    parts = [part for chunk in chunks for part in parts_of(chunk)]
    whole = both or joined(chunks[0])
    options = [tuple(replace(_piece(part), is_apart=len(chunks) > 1) for part in parts)]
    if len(chunks) > 1 and is_value(*chunks):
        options = [(_piece(whole),)]  # 24.5 mV is neither 24.5 °C nor some mV
    elif parts != [whole]:
        options.insert(0, (_piece(whole),))
    if value := value_of(whole):
        options.insert(0, (Piece(value[:LONGEST]),))
    return Term(tuple(options), _keys(chunks))


def _keys(chunks: Sequence[str]) -> frozenset[str]:
    """Return the key written in one or two chunks; a long number after a word may be a serial by itself."""
    serials = (chunk for chunk in chunks if chunk.isdecimal() and len(chunk) >= SHORTEST_NUMBER_PREFIX)
    return frozenset((main_key("".join(chunks)), *serials))


def _piece(token: str) -> Piece:
    """Return a token as a piece. RLD-1 is no beginning of RLD-10, nor 3 one of 3.181."""
    if token.isalpha():
        is_prefix = len(token) >= SHORTEST_PREFIX
    else:
        is_prefix = token[-1].isalpha() or (len(token) >= SHORTEST_NUMBER_PREFIX and token.isdecimal())
    return Piece(token[:LONGEST], is_prefix)
