"""Accepting, superseding and withdrawing lessons."""

from __future__ import annotations

import pytest

from logbook.common.errors import ConflictError, InvalidInputError
from logbook.lessons.commands import accept_lesson, replace_lesson, withdraw_lesson
from logbook.lessons.models import Lesson
from logbook.lessons.queries.lists import life_of, predecessors_of, state_of, successors_offered
from tests.builders import Bench
from tests.lessons.writing import write


def test_a_proposal_is_accepted_once(bench: Bench) -> None:
    lesson = write(bench, state="proposed")
    accept_lesson(actor=bench.actor, lesson=lesson, note="agreed")
    assert [event.state for event in life_of(lesson)] == ["proposed", "accepted"]
    with pytest.raises(ConflictError, match="it may become superseded, withdrawn"):
        accept_lesson(actor=bench.actor, lesson=lesson)


def test_a_newer_lesson_supersedes_it_and_both_stay_readable(bench: Bench, lesson: Lesson) -> None:
    newer = write(bench, "TRN-L2", replaces=[lesson])
    assert (state_of(lesson), state_of(newer)) == ("superseded", "accepted")
    assert life_of(lesson)[-1].superseded_by == newer
    assert predecessors_of(newer, bench.reader) == [lesson]


def test_withdrawing_says_why_and_is_final(bench: Bench, lesson: Lesson) -> None:
    with pytest.raises(InvalidInputError, match="say why"):
        withdraw_lesson(actor=bench.actor, lesson=lesson, note=" ")
    withdraw_lesson(actor=bench.actor, lesson=lesson, note="the part was at fault")
    with pytest.raises(ConflictError, match="may become nothing else"):
        withdraw_lesson(actor=bench.actor, lesson=lesson, note="again")


def test_the_successor_stands_and_is_read_by_all_who_read_the_old_one(
    bench: Bench, other: Bench, lesson: Lesson
) -> None:
    private, foreign = write(bench, "TRN-L2", is_shared=False), write(other, "GUL-L1", is_shared=False)
    gone = write(bench, "TRN-L3")
    withdraw_lesson(actor=bench.actor, lesson=gone, note="void")
    for successor, problem in (
        (lesson, "itself"),
        (gone, "does not stand"),
        (private, "is shared with the site and TRN-L2 is not"),
    ):
        with pytest.raises(InvalidInputError, match=problem):
            replace_lesson(actor=bench.actor, lesson=lesson, successor=successor)
    with pytest.raises(InvalidInputError, match="belongs to another project"):
        replace_lesson(actor=bench.actor, lesson=private, successor=foreign)


def test_only_lessons_that_may_replace_it_are_offered(bench: Bench, other: Bench, lesson: Lesson) -> None:
    private = write(bench, "TRN-L2", is_shared=False)
    write(other, "GUL-L1", is_shared=False)
    write(other, "GUL-L2")
    assert [row.key for row in successors_offered(lesson, bench.owner)] == ["GUL-L2"]
    assert [row.key for row in successors_offered(private, bench.owner)] == ["GUL-L2", "TRN-L1"]


def test_circles_cannot_be_made(bench: Bench, lesson: Lesson) -> None:
    newer = write(bench, "TRN-L2", replaces=[lesson])
    with pytest.raises(InvalidInputError, match="does not stand"):
        replace_lesson(actor=bench.actor, lesson=newer, successor=lesson)
