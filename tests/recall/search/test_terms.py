"""What a question asks for."""

from __future__ import annotations

import pytest

from logbook.recall.search.terms import MOST_CHUNKS, terms_of
from logbook.recall.search.tokens import tokens_of


def fits(question: str, text: str) -> bool:
    tokens = frozenset(tokens_of(text))
    return all(term.degree(tokens) for term in terms_of(question))


@pytest.mark.parametrize(
    ("question", "text"),
    [
        ("rld 2", "RLD-2"),
        ("rld2", "RLD-2"),
        ("soft sta", "soft start"),
        ("4.7 kΩ", "gain 4k7"),
        ("3.181 V", "reads 3.181 V"),
        ("dead-bug", "dead bug"),
        ("channel 2", "2 is heard, channel 3 too"),
    ],
)
def test_a_text_fits(question: str, text: str) -> None:
    assert fits(question, text)


@pytest.mark.parametrize(
    ("question", "text"),
    [
        ("RLD-1", "RLD-10"),
        ("R8", "R88"),
        ("3", "3.181 V"),
        ("soft stop", "soft start"),
        ("24.5 mV", "ambient 24.5, ripple 8 mV"),
        ("4k7", "47k"),
    ],
)
def test_a_text_does_not_fit(question: str, text: str) -> None:
    assert not fits(question, text)


def test_a_word_and_its_number_fit_better_side_by_side() -> None:
    (term,) = terms_of("drawer 2")
    together, apart = (
        term.degree(frozenset(tokens_of(text))) for text in ("drawer 2, grey", "drawer 3, bench 2")
    )
    assert together == 1.0
    assert 0 < apart < together


def test_a_long_question_is_cut() -> None:
    assert len(terms_of("word " * 2_000)) == MOST_CHUNKS


def test_nothing_is_asked_by_signs_alone() -> None:
    assert terms_of('"*:-') == ()
