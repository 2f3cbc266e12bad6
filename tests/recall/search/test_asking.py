"""Who finds what, and that no question breaks the search."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.accounts.models import User
from logbook.bench.commands import add_instrument
from logbook.boards.commands import record_board_event
from logbook.findings.commands import record_finding
from logbook.projects.commands import remove_member
from logbook.recall.search.asking import search
from logbook.recall.search.excerpts import plain
from tests.builders import Bench, build_bench
from tests.lessons.writing import write

HOSTILE = [
    '"', "a AND", "foo:bar", "*", "-x", "NEAR(a b)", "^a", "a OR", "(", "'; DROP TABLE recall_words; --", "!",
    "<->", "&|", "\\", "%_", "💡", "ﷺ", "\u0301", "x" * 10_000, "word " * 2_000, "1.2.3.4", "--", "'", "a'b",
]  # fmt: skip


@pytest.fixture
def found(bench: Bench) -> Bench:
    """Return the bench with a finding, a target and a reading."""
    bench.target()
    bench.read("3.301 V", note="warm already")
    record_finding(
        actor=bench.actor,
        project=bench.project,
        key="F-15",
        title="thousands of aliases",
        subsystem=bench.subsystem,
        values={"what": "A9 and A10 are crossed"},
    )
    return bench


def kinds(user: User, question: str, **within: object) -> list[str]:
    return [hit.kind for hit in search(user, question, **within).hits]  # type: ignore[arg-type]


@pytest.mark.parametrize("question", ["f15", "F-15", "aliases", "alaises", "crossed a10", "thousand alias"])
def test_members_find_it_and_strangers_do_not(found: Bench, question: str) -> None:
    assert kinds(found.reader, question)[0] == "finding"
    assert kinds(found.stranger, question) == []


def test_a_removed_member_finds_nothing_any_more(found: Bench) -> None:
    assert kinds(found.reader, "warm") == ["measurement"]
    remove_member(actor=found.actor, project=found.project, user=found.reader)
    assert kinds(found.reader, "warm") == []


@pytest.mark.parametrize("is_shared", [True, False], ids=["shared", "kept"])
def test_strangers_find_shared_lessons_only(found: Bench, is_shared: bool) -> None:
    lesson = write(found, is_shared=is_shared)
    assert (kinds(found.stranger, lesson.rule) == ["lesson"]) is is_shared
    assert kinds(found.reader, lesson.rule)[0] == "lesson"


def test_instruments_are_found_by_everyone(found: Bench) -> None:
    add_instrument(actor=found.actor, name="DMM-1", kind="multimeter")
    assert kinds(found.stranger, "dmm1") == ["instrument"]


def test_it_is_narrowed_by_project_and_kind(found: Bench) -> None:
    other = build_bench("plover")
    other.project.memberships.create(user=found.owner, role="reader")
    places = [hit.where for hit in search(found.owner, "0001", kind="board").hits]
    assert sorted(places) == ["Plover, rev A", "Tern, rev A"]
    for bench, place in ((found, "Tern, rev A"), (other, "Plover, rev A")):
        hits = search(found.owner, "0001", kind="board", project=bench.project).hits
        assert [(hit.kind, hit.where) for hit in hits] == [("board", place)]
    assert kinds(found.owner, "0001", kind="finding") == []


@pytest.mark.parametrize("question", HOSTILE, ids=lambda text: repr(text[:12]))
def test_no_question_breaks_it(found: Bench, question: str) -> None:
    search(found.owner, question)
    assert kinds(found.stranger, question) == []
    assert kinds(found.reader, "f15")[0] == "finding"


def test_markup_stays_text(found: Bench) -> None:
    record_finding(
        actor=found.actor, project=found.project, key="F-16", title="<b>bold</b> & 'quoted'",
        subsystem=found.subsystem, values={},
    )  # fmt: skip
    (hit,) = search(found.owner, "quoted").hits
    assert plain(hit.title) == "F-16 <b>bold</b> & 'quoted'"


def test_the_newer_of_two_alike_comes_first(found: Bench) -> None:
    found.read("3.302 V", note="cold still", taken_at=datetime(2026, 1, 2, 10, tzinfo=UTC))
    found.read("3.303 V", note="cold still", taken_at=datetime(2026, 1, 3, 10, tzinfo=UTC))
    days = [hit.at.day for hit in search(found.owner, "cold still").hits if hit.at]
    assert days == [3, 2]


WENT = {
    "0010": ["drawer 2, grey cabinet"],
    "0011": ["drawer 2, grey cabinet", "bench 7"],
    "0012": ["drawer 7, bench 2"],
    "0013": ["drawer 3"],
}


def test_a_board_is_found_by_where_it_is_before_where_it_was(found: Bench) -> None:
    for serial, places in WENT.items():
        board = found.extra_board(serial)
        for place in places:
            record_board_event(actor=found.actor, board=board, state="in use", location=place)
    hits = search(found.reader, "drawer 2").hits
    assert [hit.key for hit in hits] == ["0010", "0011", "0012"]
    assert hits[0].where == "Tern, rev A, drawer 2, grey cabinet"
    assert [hit.key for hit in search(found.reader, "drawer 2, grey cabinet").hits] == ["0010", "0011"]


def test_it_asks_a_fixed_number_of_queries(
    found: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    search(found.owner, "aliases")
    with django_assert_num_queries(13):
        search(found.owner, "aliases warm")
