"""Boards somebody may have meant whose code leads nowhere."""

from __future__ import annotations

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.recall.labels.codes import code_of
from logbook.recall.labels.near import MOST_SHOWN, codes_near
from tests.boards.choices_of_tern import add_link, add_mode
from tests.builders import Bench, build_bench


def texts(bench: Bench, typed: str) -> list[str]:
    return [one.code.text for one in codes_near(bench.reader, typed)]


@pytest.mark.parametrize(
    "typed",
    [
        "tern 0001 a",
        "tern 0001",
        "0001",
        "TERN0001A",
        "tern-0001-a",
        "tren 0001 a ?",
        "tern 0001 b",
        "tern/001/a",
    ],
)
def test_the_likest_board_is_named(bench: Bench, typed: str) -> None:
    bench.extra_board("0742")
    assert texts(bench, typed) == [code_of(bench.board).text]


def test_it_says_what_differs(bench: Bench) -> None:
    (near,) = codes_near(bench.reader, "tern 0003 a ?")
    check = code_of(bench.board).check
    assert near.differs == ("its serial is 0001, not 0003", f"its check character is {check}, not ?")
    (near,) = codes_near(bench.reader, "tern 0001 a")
    assert near.differs == (f"its check character is {check}",)


def test_of_a_connector_the_connector_is_named(bench: Bench) -> None:
    connector = add_link(bench, add_mode(bench))
    (near,) = codes_near(bench.reader, "tern 0001 a j7")
    assert near.place.connector == connector
    (near,) = codes_near(bench.reader, "tern 0001 a j99")
    assert (near.place.board, near.place.connector) == (bench.board, None)


@pytest.mark.parametrize("typed", ["", "zz", "· · ·", "heron 4711 f q", "\x00", "9" * 500])
def test_what_is_like_nothing_names_nothing(bench: Bench, typed: str) -> None:
    assert texts(bench, typed) == []


def test_boards_of_others_are_never_named(bench: Bench) -> None:
    other = build_bench("terns")
    assert [one.place.board for one in codes_near(other.reader, "tern 0001 a")] == [other.board]
    assert codes_near(bench.stranger, code_of(bench.board).text) == []


def test_the_query_count_does_not_grow(
    bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    add_link(bench, add_mode(bench))
    for number in range(2, 10):
        bench.extra_board(f"000{number}")
    with django_assert_num_queries(2):
        assert len(codes_near(bench.reader, "tern 0000 a j7")) == MOST_SHOWN
