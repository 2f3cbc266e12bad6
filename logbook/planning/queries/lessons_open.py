"""Lessons a revision was asked and did not answer, or knowingly does not follow."""

from __future__ import annotations

from logbook.core.risk import LessonFacts, risk_of_lesson
from logbook.lessons.queries import OfferedLesson
from logbook.planning.queries.open_row import OpenRow
from logbook.planning.queries.target_risks import TargetRisks
from logbook.projects.choices import ChangeState


def lesson_rows(found: TargetRisks) -> list[OpenRow]:
    """Return one row for each accepted lesson that is unanswered, overruled or to be done. Four queries.

    Where the change of a *to do* has come to is taken as it is today, also for a past day.
    """
    stakes = found.stakes_of([])
    rows = []
    for one in found.standing.lessons:
        if not one.is_binding or not is_open(one):
            continue
        facts = LessonFacts(one.key, one.lesson.rule, one.firmness, _not_followed(one))
        rows.append(OpenRow(risk_of_lesson(facts, stakes), one.lesson.rule, one.subsystems))
    return rows


def is_open(one: OfferedLesson) -> bool:
    """Say whether a lesson is a risk: nobody answered it, or it is left undone and no change does it."""
    if one.answered is None:
        return True
    change = one.answered.change
    is_being_done = change is not None and change.withdrawn_at is None and change.state != ChangeState.PLANNED
    return one.is_left_undone and not is_being_done


def _not_followed(one: OfferedLesson) -> str:
    if one.answered is None:
        return ""
    change = one.answered.change
    return f"{one.answer}, change {change} {change.state}" if change else f"{one.answer}: {one.answered.text}"
