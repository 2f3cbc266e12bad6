"""Accepting, superseding and withdrawing lessons."""

from __future__ import annotations

from django.db import transaction

from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.lessons.choices import MOVES, STANDING, LessonState
from logbook.lessons.models import Lesson, LessonEvent
from logbook.lessons.queries.lists import state_of


def accept_lesson(*, actor: Actor, lesson: Lesson, note: str = "") -> LessonEvent:
    """Accept a proposed lesson: from now on an answer is owed to it."""
    return _move(actor, lesson, LessonState.ACCEPTED, note=note, successor=None)


def withdraw_lesson(*, actor: Actor, lesson: Lesson, note: str) -> LessonEvent:
    """Withdraw a lesson that turned out wrong or void, saying why; it stays readable."""
    if not note.strip():
        raise InvalidInputError.of("note", "say why it is withdrawn", code="required")
    return _move(actor, lesson, LessonState.WITHDRAWN, note=note, successor=None)


def replace_lesson(*, actor: Actor, lesson: Lesson, successor: Lesson, note: str = "") -> LessonEvent:
    """Let a newer lesson supersede one; both stay readable and point at each other.

    Raises
    ------
    InvalidInputError
        The successor is the lesson itself, no longer stands, or cannot be read by all who could read it.
    ConflictError
        The lesson does not stand any more.
    """
    _check_successor(lesson, successor)
    return _move(actor, lesson, LessonState.SUPERSEDED, note=note, successor=successor)


def _check_successor(lesson: Lesson, successor: Lesson) -> None:
    if successor.pk == lesson.pk:
        problem = "a lesson does not supersede itself"
    elif state_of(successor) not in STANDING:
        problem = f"{successor} does not stand any more"
    elif successor.shared_at is None and lesson.shared_at is not None:
        problem = f"{lesson} is shared with the site and {successor} is not"
    elif successor.shared_at is None and successor.project_id != lesson.project_id:
        problem = f"{successor} belongs to another project and is not shared with the site"
    else:
        return
    allowed = "another standing lesson that all who read this one may read"
    raise InvalidInputError.of("superseded_by", problem, given=successor, allowed=allowed)


@transaction.atomic
def _move(
    actor: Actor, lesson: Lesson, to: LessonState, *, note: str, successor: Lesson | None
) -> LessonEvent:
    # Two people may move it at once; the second must see where the first left it.
    Lesson.objects.select_for_update(no_key=True).get(pk=lesson.pk)
    here = state_of(lesson)
    if to not in MOVES[here]:
        allowed = ", ".join(MOVES[here]) or "nothing else"
        message = f"{lesson} is {here} and cannot become {to}; it may become {allowed}"
        raise ConflictError(message)
    event = LessonEvent(
        lesson=lesson,
        state=to,
        at=clock.now(),
        note=note.strip(),
        superseded_by=successor,
        recorded_by=actor.user,
    )
    store_new(event, actor=actor, project_id=lesson.project_id)
    return event
