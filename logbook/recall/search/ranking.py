"""Putting what was found in order: the key itself first, then titles, then what is written beneath."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from logbook.recall.models import Document
from logbook.recall.search.terms import LONGEST_QUESTION, Term, board_on_label
from logbook.recall.search.tokens import main_key, tokens_of

# What a term is worth where it is met best. All weights here are a judgement, held by the fixed questions.
IN_KEY, IN_TITLE, IN_PLACE, IN_BODY = 8.0, 5.0, 3.0, 1.5
KEY_ASKED_FOR, KEY_NAMED = 40.0, 10.0
WHOLE_TITLE = 2.0
# Where words were also taken for what they may have been meant for, the words as they were typed come first.
AS_TYPED = 6.0
# Among equals, what one looks for more often; one reading of many seldom.
BY_KIND = {
    "project": 1.5,
    "connector": 1.0,
    "board": 1.0,
    "target": 1.0,
    "finding": 1.0,
    "lesson": 0.9,
    "calculation": 0.8,
    "instrument": 0.8,
    "rework": 0.7,
    "option": 0.6,
    "evidence": 0.5,
    "bench session": 0.4,
    "measurement": -2.0,
}


def ranked(documents: Iterable[Document], question: str, terms: Sequence[Term]) -> list[Document]:
    """Return documents, the best first; among equals the newest. A part of several revisions shows once."""
    asked = main_key(question[:LONGEST_QUESTION])
    label = board_on_label(question)
    keys = {key for term in terms for key in term.keys}
    scored = sorted(
        (
            (
                _score(one, asked, keys, terms) + _label_bonus(one, label),
                one.at.timestamp() if one.at else 0.0,
                one,
            )
            for one in documents
        ),
        key=lambda row: (-round(row[0], 3), -row[1], row[2].pk),
    )
    return list({_shown_once(one): one for *_, one in reversed(scored)}.values())[::-1]


def _shown_once(document: Document) -> tuple[object, ...]:
    if document.kind == "part":
        return document.kind, document.project_id, document.key
    return document.kind, document.object_id


def _score(document: Document, asked: str, keys: set[str], terms: Sequence[Term]) -> float:
    fields = [
        (IN_KEY, frozenset((*tokens_of(document.key), document.main_key))),
        (IN_TITLE, frozenset(tokens_of(document.title))),
        (IN_PLACE, frozenset(tokens_of(document.place))),
        (IN_BODY, frozenset(tokens_of(document.body))),
    ]
    met = sum(max(weight * term.degree(tokens) for weight, tokens in fields) for term in terms)
    met += _as_typed(frozenset().union(*(tokens for _, tokens in fields)), terms)
    return met + _key_bonus(document, asked, keys) + _title_share(fields[1][1], terms) + _kind_bonus(document)


def _as_typed(tokens: frozenset[str], terms: Sequence[Term]) -> float:
    is_widened = any(piece.near for term in terms for option in term.options for piece in option)
    return AS_TYPED if is_widened and all(term.degree(tokens) == 1.0 for term in terms) else 0.0


def _label_bonus(document: Document, label: tuple[str, str] | None) -> float:
    """Return what a board is worth whose project and serial were asked for as its label says them."""
    if label is None or document.kind != "board" or document.project is None:
        return 0.0
    named = {main_key(document.project.code), main_key(document.project.slug)}
    return KEY_ASKED_FOR if label[0] in named and document.main_key == label[1] else 0.0


def _key_bonus(document: Document, asked: str, keys: set[str]) -> float:
    if not document.main_key:
        return 0.0
    if document.main_key == asked:
        return KEY_ASKED_FOR
    return KEY_NAMED if document.main_key in keys else 0.0


def _title_share(title: frozenset[str], terms: Sequence[Term]) -> float:
    hit = sum(1 for token in title if any(term.degree(frozenset([token])) for term in terms))
    return WHOLE_TITLE * hit / len(title) if title else 0.0


def _kind_bonus(document: Document) -> float:
    return BY_KIND.get(document.kind, 0.0)
