"""Which lessons a revision is asked, why, and what it owes."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.common import clock
from logbook.lessons.commands import accept_lesson, answer_lesson, change_lesson, withdraw_lesson
from logbook.lessons.models import Lesson
from logbook.lessons.queries import learned_since, lessons_for, unanswered_lessons
from logbook.projects.commands import add_subsystem, change_project
from tests.builders import Bench
from tests.lessons.writing import write


def at(day: int) -> datetime:
    return datetime(2024, 5, day, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("scope", "why"),
    [
        ({"subsystem_kinds": ["power"]}, "RLD is of the kind power"),
        ({"subsystem_kinds": ["memory"]}, None),
        ({"characteristics": ["battery"]}, "the project has battery"),
        ({"characteristics": ["usb"]}, None),
        ({"characteristics": ["usb", "battery"], "subsystem_kinds": ["power"]}, "battery; RLD is"),
        ({"always": True}, "it applies always"),
    ],
    ids=str,
)
def test_it_says_why_it_is_asked(bench: Bench, scope: dict[str, Any], why: str | None) -> None:
    change_project(actor=bench.actor, project=bench.project, values={}, characteristics=["battery"])
    write(bench, values={"subsystem_kinds": []} | scope)
    offered = lessons_for(bench.revision)
    assert len(offered) == (why is not None)
    assert all(why and why in row.why for row in offered)


def test_all_subsystems_of_its_kind_are_named(bench: Bench, lesson: Lesson) -> None:
    add_subsystem(actor=bench.actor, project=bench.project, key="RLA", name="analogue rails", kind="power")
    (row,) = lessons_for(bench.revision)
    assert (row.why, row.subsystems) == ("RLD, RLA are of the kind power", ("RLD", "RLA"))


def test_it_crosses_to_another_project_only_when_shared(bench: Bench, other: Bench) -> None:
    lesson = write(bench, is_shared=False)
    assert lessons_for(other.revision) == ()
    assert [row.key for row in lessons_for(bench.revision)] == ["TRN-L1"]
    change_lesson(actor=bench.actor, lesson=lesson, values={}, is_shared=True)
    assert [row.key for row in lessons_for(other.revision)] == ["TRN-L1"]


def test_the_firmest_come_first(bench: Bench) -> None:
    for key, firmness in (("A-L1", "consider"), ("B-L1", "should"), ("C-L1", "must")):
        write(bench, key, values={"firmness": firmness})
    assert [row.key for row in lessons_for(bench.revision)] == ["C-L1", "B-L1", "A-L1"]


def test_no_answer_is_owed_to_a_proposal(bench: Bench) -> None:
    lesson = write(bench, state="proposed")
    assert [row.key for row in lessons_for(bench.revision)] == ["TRN-L1"]
    assert unanswered_lessons(bench.revision) == ()
    accept_lesson(actor=bench.actor, lesson=lesson)
    assert [row.key for row in unanswered_lessons(bench.revision)] == ["TRN-L1"]


def test_a_past_day_knows_what_stood_and_was_answered_then(bench: Bench) -> None:
    with clock.standing_at(at(2)):
        lesson = write(bench)
    with clock.standing_at(at(4)):
        answer_lesson(actor=bench.actor, revision=bench.revision, lesson=lesson, answer="heeded", text="done")
    with clock.standing_at(at(6)):
        withdraw_lesson(actor=bench.actor, lesson=lesson, note="void")
    said = {day: [row.answer for row in lessons_for(bench.revision, until=at(day))] for day in (1, 3, 5, 7)}
    assert said == {1: [], 3: ["unanswered"], 5: ["heeded"], 7: []}


def test_a_past_day_knows_when_it_was_shared(bench: Bench, other: Bench) -> None:
    with clock.standing_at(at(2)):
        lesson = write(bench, is_shared=False)
    with clock.standing_at(at(4)):
        change_lesson(actor=bench.actor, lesson=lesson, values={}, is_shared=True)
    assert [len(lessons_for(other.revision, until=at(day))) for day in (3, 5)] == [0, 1]


def test_todays_eyes_see_what_was_learned_since_it_was_drawn(bench: Bench) -> None:
    for key, day in (("A-L1", 9), ("B-L1", 10), ("C-L1", 11)):
        write(bench, key, values={"learned_on": date(2024, 5, day)})
    bench.revision.drawn_on = date(2024, 5, 10)
    offered = lessons_for(bench.revision)
    assert [row.key for row in learned_since(bench.revision, offered)] == ["C-L1"]
    bench.revision.drawn_on = None
    bench.revision.ordered_on = date(2024, 5, 9)
    assert [row.key for row in learned_since(bench.revision, offered)] == ["B-L1", "C-L1"]
    bench.revision.ordered_on = None
    assert len(learned_since(bench.revision, offered)) == 3


def test_many_lessons_cost_no_more_queries(
    bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(1, 9):
        lesson = write(bench, f"TRN-L{number}")
        answer_lesson(actor=bench.actor, revision=bench.revision, lesson=lesson, answer="heeded", text="done")
    with django_assert_num_queries(4):
        rows = lessons_for(bench.revision)
        assert {row.answered.by.username for row in rows if row.answered and row.answered.by} == {
            bench.owner.username
        }
