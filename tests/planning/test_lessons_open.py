"""Lessons nobody answered, and lessons knowingly not followed, are open risks."""

from __future__ import annotations

import pytest

from logbook.lessons.commands import answer_lesson
from logbook.lessons.models import Lesson
from logbook.planning.queries import open_risks_of
from logbook.projects.commands import add_revision, describe_change
from logbook.projects.models import Revision
from tests.builders import Bench
from tests.lessons.writing import write


def lesson_risks(revision: Revision) -> list[tuple[str, str, str]]:
    """Return subject, severity and reason of each row about a lesson."""
    rows = [row for row in open_risks_of(revision).rows if row.kind == "lesson not answered"]
    return [(row.subject, row.severity, row.reason) for row in rows]


def answer(bench: Bench, lesson: Lesson, word: str, revision: Revision | None = None) -> Lesson:
    answer_lesson(
        actor=bench.actor, revision=revision or bench.revision, lesson=lesson, answer=word, text="no room"
    )
    return lesson


@pytest.mark.parametrize(("firmness", "severity"), [("must", "S2"), ("should", "S3"), ("consider", "S4")])
def test_an_unanswered_lesson_is_a_risk_by_how_firm_it_is(bench: Bench, firmness: str, severity: str) -> None:
    write(bench, values={"firmness": firmness})
    ((subject, found, reason),) = lesson_risks(bench.revision)
    assert (subject, found) == ("TRN-L1", severity)
    assert reason == "compute dividers as fitted; not answered for this revision"


@pytest.mark.parametrize(
    ("word", "said"),
    [("heeded", []), ("not applicable", []), ("overruled", ["no room"]), ("to do", ["no room"])],
)
def test_an_answer_closes_it_unless_it_is_left_undone(bench: Bench, word: str, said: list[str]) -> None:
    answer(bench, write(bench), word)
    assert [reason.split(": ")[-1] for _, _, reason in lesson_risks(bench.revision)] == said


def test_a_proposal_is_no_risk(bench: Bench) -> None:
    write(bench, state="proposed")
    assert lesson_risks(bench.revision) == []


def test_what_is_to_be_done_is_closed_by_its_change(bench: Bench) -> None:
    spin = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    lesson = answer(bench, write(bench), "to do", spin)
    assert len(lesson_risks(spin)) == 1
    change = lesson.answers.get().change
    assert change is not None
    describe_change(actor=bench.actor, change=change, values={"state": "in the files"})
    assert lesson_risks(spin) == []
