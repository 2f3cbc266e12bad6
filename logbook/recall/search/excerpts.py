"""The piece of a text around the words that were asked for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from logbook.recall.search.terms import Term
from logbook.recall.search.tokens import tokens_of

CHUNK = re.compile(r"[^\s,;()\"]+")
BEFORE, AFTER = 60, 180


@dataclass(frozen=True)
class Stretch:
    """Some text as it was written, and whether it is what was asked for."""

    text: str
    is_hit: bool


def marked(text: str, terms: Sequence[Term]) -> tuple[Stretch, ...]:
    """Return the whole text in stretches."""
    return tuple(_stretches(text, _hits(text, terms)))


def excerpt(text: str, terms: Sequence[Term]) -> tuple[Stretch, ...]:
    """Return the text around the hits that stand closest together on one line, or its beginning."""
    line = " · ".join(" ".join(one.split()) for one in text.splitlines())
    first = _closest(line, list(_hits(line, terms)))
    begin = first - BEFORE if first > BEFORE else 0
    if begin:
        begin = line.find(" ", begin, first) + 1 or first
    end = len(line)
    if end - begin > BEFORE + AFTER:
        end = max(line.rfind(" ", begin, begin + BEFORE + AFTER), begin + AFTER)
    shown = ("… " if begin else "") + line[begin:end] + (" …" if end < len(line) else "")
    return marked(shown, terms)


def _closest(line: str, hits: Sequence[tuple[int, int]]) -> int:
    """Return where the stretch begins that holds most different hits, the first of equals."""
    held = []
    for place, (begin, _) in enumerate(hits):
        near = (
            line[one:end].lower() for one, end in hits[place : place + AFTER // 2] if end <= begin + AFTER
        )
        held.append(len(set(near)))
    return hits[held.index(max(held))][0] if held else 0


def _hits(text: str, terms: Sequence[Term]) -> Iterator[tuple[int, int]]:
    pieces = {piece for term in terms for option in term.options for piece in option}
    for found in CHUNK.finditer(text):
        tokens = frozenset(tokens_of(found[0]))
        if any(piece.degree(tokens) for piece in pieces):
            yield found.span()


def _stretches(text: str, hits: Iterator[tuple[int, int]]) -> Iterator[Stretch]:
    end = 0
    for begin, after in hits:
        if begin > end:
            yield Stretch(text[end:begin], is_hit=False)
        yield Stretch(text[begin:after], is_hit=True)
        end = after
    if end < len(text):
        yield Stretch(text[end:], is_hit=False)


def plain(stretches: Sequence[Stretch]) -> str:
    """Return stretches as text."""
    return "".join(one.text for one in stretches)
