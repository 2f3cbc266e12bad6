"""What a revision answers to the lessons that apply to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import InvalidInputError
from logbook.lessons.choices import SAYS, AnswerWord, kind_of_change
from logbook.lessons.models import Lesson, LessonAnswer
from logbook.lessons.queries.offered import OfferedLesson, lessons_for, newest_answers
from logbook.projects.choices import CauseKind
from logbook.projects.commands import add_change
from logbook.projects.models import Change, Revision, Subsystem


@dataclass(frozen=True)
class Becomes:
    """The change a *to do* becomes; what is empty is taken from the lesson. It touches only what is named."""

    key: str = ""
    kind: str = ""
    what: str = ""
    subsystems: Sequence[Subsystem] = ()


@transaction.atomic
def answer_lesson(
    *,
    actor: Actor,
    revision: Revision,
    lesson: Lesson,
    answer: str,
    text: str,
    becomes: Becomes | None = None,
) -> LessonAnswer:
    """Record what a revision answers to a lesson; an earlier answer stays readable, the newest counts.

    *To do* becomes a planned change caused by the lesson, where the revision has a parent to be changed
    against; without one it is shown on the next revision. A second *to do* keeps the change of the first
    while that stands. An answer whose change was withdrawn counts no longer.

    Raises
    ------
    InvalidInputError
        The lesson does not apply here, or the answer says nothing.
    """
    if answer not in AnswerWord.values:
        allowed = ", ".join(AnswerWord.values)
        raise InvalidInputError.of("answer", f"there is no answer {answer!r}", given=answer, allowed=allowed)
    if not text.strip():
        raise InvalidInputError.of("text", f"say {SAYS[answer]}", code="required")
    offered = _offered(revision, lesson)
    change = None
    if answer == AnswerWord.TO_DO and revision.parent_id is not None:
        change = _standing_change(revision, lesson) or _new_change(actor, revision, offered, text, becomes)
    elif becomes is not None and answer != AnswerWord.TO_DO:
        raise InvalidInputError.of("change", "only what is to be done becomes a change", given=answer)
    given = LessonAnswer(
        lesson=lesson,
        revision=revision,
        answer=answer,
        text=text.strip(),
        change=change,
        at=clock.now(),
        by=actor.user,
    )
    store_new(given, actor=actor, project_id=revision.project_id)
    return given


def _offered(revision: Revision, lesson: Lesson) -> OfferedLesson:
    for row in lessons_for(revision):
        if row.lesson.pk == lesson.pk:
            return row
    message = f"{lesson} is not asked of {revision}: nothing it applies to is here, or it does not stand"
    raise InvalidInputError.of("lesson", message, given=lesson, allowed="a lesson offered for the revision")


def _standing_change(revision: Revision, lesson: Lesson) -> Change | None:
    before = newest_answers(revision).get(lesson.pk)
    change = before.change if before else None
    return change if change is not None and change.withdrawn_at is None else None


def _new_change(
    actor: Actor, revision: Revision, offered: OfferedLesson, text: str, becomes: Becomes | None
) -> Change:
    asked = becomes or Becomes()
    return add_change(
        actor=actor,
        revision=revision,
        key=asked.key.strip() or offered.lesson.key,
        kind=asked.kind or kind_of_change(offered.lesson.discipline, offered.lesson.moment),
        what=asked.what.strip() or text.strip(),
        subsystems=asked.subsystems,
        values={
            "why": offered.lesson.rule,
            "cause_kind": CauseKind.LESSON,
            "cause": offered.lesson.key,
        },
    )
