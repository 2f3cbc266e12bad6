"""What a revision answers to its lessons."""

from __future__ import annotations

import pytest

from logbook.common.errors import InvalidInputError
from logbook.lessons.choices import AnswerWord
from logbook.lessons.commands import Becomes, answer_lesson, withdraw_lesson
from logbook.lessons.models import Lesson, LessonAnswer
from logbook.lessons.queries import lessons_for, unanswered_lessons
from logbook.projects.commands import add_revision, withdraw_change
from logbook.projects.models import Change, Revision
from tests.builders import Bench
from tests.lessons.writing import write


@pytest.fixture
def next_spin(bench: Bench) -> Revision:
    """Return revision B, which descends from A."""
    return add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)


def answer(
    bench: Bench,
    lesson: Lesson,
    word: str,
    text: str = "so it is",
    *,
    on: Revision | None = None,
    becomes: Becomes | None = None,
) -> LessonAnswer:
    return answer_lesson(
        actor=bench.actor,
        revision=on or bench.revision,
        lesson=lesson,
        answer=word,
        text=text,
        becomes=becomes,
    )


@pytest.mark.parametrize("word", AnswerWord.values)
def test_each_answer_settles_what_is_owed(bench: Bench, lesson: Lesson, word: str) -> None:
    answer(bench, lesson, word)
    (row,) = lessons_for(bench.revision)
    assert (row.answer, row.is_left_undone) == (word, word in {"overruled", "to do"})
    assert unanswered_lessons(bench.revision) == ()


def test_the_newest_answer_counts_and_the_older_stays(bench: Bench, lesson: Lesson) -> None:
    answer(bench, lesson, "overruled")
    answer(bench, lesson, "heeded", "R21 and R22 computed")
    (row,) = lessons_for(bench.revision)
    assert row.answered is not None
    assert (row.answer, row.answered.text) == ("heeded", "R21 and R22 computed")
    assert LessonAnswer.objects.count() == 2


def test_each_revision_answers_for_itself(bench: Bench, lesson: Lesson, next_spin: Revision) -> None:
    answer(bench, lesson, "heeded")
    assert [row.answer for row in lessons_for(next_spin)] == ["unanswered"]


def test_what_is_to_be_done_becomes_a_change(bench: Bench, lesson: Lesson, next_spin: Revision) -> None:
    becomes = Becomes(kind="BOM", subsystems=[bench.subsystem])
    given = answer(bench, lesson, "to do", "0.1 % parts", on=next_spin, becomes=becomes)
    change = Change.objects.get(revision=next_spin)
    assert given.change == change
    assert (change.key, change.kind, change.what) == ("TRN-L1", "BOM", "0.1 % parts")
    assert (change.cause_kind, change.cause, change.state) == ("lesson", "TRN-L1", "planned")
    assert [one.key for one in change.subsystems.all()] == ["RLD"]


def test_a_second_to_do_keeps_the_change_while_it_stands(
    bench: Bench, lesson: Lesson, next_spin: Revision
) -> None:
    first = answer(bench, lesson, "to do", on=next_spin)
    assert answer(bench, lesson, "to do", "and the test point", on=next_spin).change == first.change
    assert first.change is not None
    withdraw_change(actor=bench.actor, change=first.change, because="dropped")
    again = answer(bench, lesson, "to do", on=next_spin)
    assert again.change not in {None, first.change}


def test_on_a_first_revision_there_is_nothing_to_change_against(bench: Bench, lesson: Lesson) -> None:
    assert answer(bench, lesson, "to do").change is None


@pytest.mark.parametrize(
    ("word", "text", "field"),
    [("heeded", " ", "text"), ("maybe", "x", "answer")],
    ids=["says nothing", "no such answer"],
)
def test_an_answer_is_one_of_four_and_says_something(
    bench: Bench, lesson: Lesson, word: str, text: str, field: str
) -> None:
    with pytest.raises(InvalidInputError) as caught:
        answer(bench, lesson, word, text)
    assert [problem.field for problem in caught.value.problems] == [field]


def test_only_what_is_to_be_done_becomes_a_change(bench: Bench, lesson: Lesson, next_spin: Revision) -> None:
    with pytest.raises(InvalidInputError, match="becomes a change"):
        answer(bench, lesson, "heeded", on=next_spin, becomes=Becomes())


def test_a_lesson_that_is_not_asked_cannot_be_answered(bench: Bench, other: Bench, lesson: Lesson) -> None:
    elsewhere = write(bench, "TRN-L2", values={"subsystem_kinds": ["memory"]})
    private = write(other, "GUL-L1", is_shared=False)
    withdraw_lesson(actor=bench.actor, lesson=lesson, note="void")
    for one in (elsewhere, private, lesson):
        with pytest.raises(InvalidInputError, match="is not asked"):
            answer(bench, one, "heeded")


def test_a_failed_change_leaves_no_answer(bench: Bench, lesson: Lesson, next_spin: Revision) -> None:
    with pytest.raises(InvalidInputError, match="key"):
        answer(bench, lesson, "to do", on=next_spin, becomes=Becomes(key="not a key"))
    assert not LessonAnswer.objects.exists()


def test_an_answer_whose_change_was_withdrawn_counts_no_longer(
    bench: Bench, lesson: Lesson, next_spin: Revision
) -> None:
    change = answer(bench, lesson, "to do", on=next_spin).change
    assert change is not None
    withdraw_change(actor=bench.actor, change=change, because="dropped")
    (row,) = unanswered_lessons(next_spin)
    assert (row.answer, row.said_before) == ("unanswered", "to do, its change TRN-L1 was withdrawn")


def test_what_a_first_revision_has_to_do_is_shown_on_the_next(
    bench: Bench, lesson: Lesson, next_spin: Revision
) -> None:
    answer(bench, lesson, "to do", "0.1 % parts")
    (row,) = unanswered_lessons(next_spin)
    assert row.said_before == "to do, said on A: 0.1 % parts"
    answer(bench, lesson, "heeded", on=next_spin)
    assert [one.said_before for one in lessons_for(next_spin)] == [""]


@pytest.mark.parametrize(
    ("asked", "kind"),
    [
        ({}, "schematic"),
        ({"discipline": "parts"}, "BOM"),
        ({"discipline": "circuit", "moment": "first measurement"}, "firmware"),
        ({"discipline": "measurement"}, "firmware"),
    ],
    ids=["circuit", "parts", "measuring", "measurement"],
)
def test_the_change_follows_the_lesson_and_touches_nothing(
    bench: Bench, next_spin: Revision, asked: dict[str, str], kind: str
) -> None:
    answer(bench, write(bench, values=asked), "to do", on=next_spin)
    change = Change.objects.get(revision=next_spin)
    assert (change.kind, change.subsystems.count()) == (kind, 0)
