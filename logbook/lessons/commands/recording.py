"""Recording a lesson, changing what it says, and sharing it with the site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from logbook.common import clock
from logbook.common.changes import Actor, check_whole, note_change, store_changes, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.lessons.choices import STANDING, LessonState
from logbook.lessons.commands.carrying import store_check
from logbook.lessons.commands.moving import replace_lesson
from logbook.lessons.models import QUESTION, TOLD, Lesson, LessonEvent
from logbook.lessons.queries.lists import state_of
from logbook.projects.choices import SubsystemKind
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import SLUG, Project

MOST_SCOPES = 50


@transaction.atomic
def record_lesson(
    *,
    actor: Actor,
    project: Project,
    key: str,
    rule: str,
    values: dict[str, Any],
    state: str = LessonState.ACCEPTED,
    is_shared: bool = False,
    replaces: Sequence[Lesson] = (),
    check: Mapping[str, Any] | None = None,
) -> Lesson:
    """Record a lesson, accepted at once or only proposed; those it ``replaces`` are superseded by it.

    ``values`` are the other fields of ``QUESTION`` and ``TOLD``; without a day it was learned today. It is
    shared only where ``is_shared`` says so, for sharing is never taken back.
    """
    moment = clock.now()
    today = timezone.localtime(moment).date()
    _refuse_strangers(values, (*QUESTION, *TOLD))
    lesson = Lesson(
        project=project,
        key=key,
        rule=rule,
        shared_at=moment if is_shared else None,
        recorded_at=moment,
        recorded_by=actor.user,
        **{"learned_on": today, **values},
    )
    _check(lesson, today)
    if state not in STANDING:
        allowed = ", ".join(STANDING)
        raise InvalidInputError.of(
            "state", "a new lesson is proposed or accepted", given=state, allowed=allowed
        )
    store_new(lesson, actor=actor)
    LessonEvent.objects.create(lesson=lesson, state=state, at=moment, recorded_by=actor.user)
    if check:
        store_check(actor=actor, lesson=lesson, says=check)
    for old in replaces:
        replace_lesson(actor=actor, lesson=old, successor=lesson, note="")
    return lesson


@transaction.atomic
def change_lesson(
    *, actor: Actor, lesson: Lesson, values: dict[str, Any], is_shared: bool | None = None
) -> Lesson:
    """Change what is told of a lesson; what it asks, and of whom, only while it is proposed.

    Raises
    ------
    ConflictError
        The lesson is accepted or done with, and ``values`` would change its question.
    """
    Lesson.objects.select_for_update(no_key=True).get(pk=lesson.pk)
    _refuse_strangers(values, (*QUESTION, *TOLD))
    _refuse_changed_question(lesson, values)
    today = timezone.localtime(clock.now()).date()
    after = Lesson(**{field.attname: getattr(lesson, field.attname) for field in Lesson._meta.fields})
    for name, value in values.items():
        setattr(after, name, value)
    _check(after, today)
    store_changes(lesson, values, actor=actor)
    if is_shared is not None and is_shared != (lesson.shared_at is not None):
        _share(actor, lesson, wanted=is_shared)
    return lesson


def _refuse_strangers(values: Mapping[str, Any], allowed: Sequence[str]) -> None:
    for name in values:
        if name not in allowed:
            raise InvalidInputError.of(name, "this cannot be set", given=name, allowed=", ".join(allowed))


def _refuse_changed_question(lesson: Lesson, values: Mapping[str, Any]) -> None:
    changed = [name for name in QUESTION if name in values and values[name] != getattr(lesson, name)]
    state = state_of(lesson)
    if changed and state != LessonState.PROPOSED:
        names = ", ".join(name.replace("_", " ") for name in changed)
        message = f"{lesson} is {state}: its {names} stay; record a new lesson that supersedes it"
        raise ConflictError(message)


def _check(lesson: Lesson, today: date) -> None:
    check_belongs("finding", lesson.finding, lesson.project_id)
    if isinstance(lesson.learned_on, date) and lesson.learned_on > today:
        message = "this day lies in the future"
        raise InvalidInputError.of("learned_on", message, given=lesson.learned_on, allowed=f"up to {today}")
    lesson.characteristics = _names(lesson.characteristics, "characteristics")
    lesson.subsystem_kinds = _names(lesson.subsystem_kinds, "subsystem_kinds")
    _check_characteristics(lesson.characteristics)
    for kind in lesson.subsystem_kinds:
        if kind not in SubsystemKind.values:
            allowed = ", ".join(SubsystemKind.values)
            message = f"there is no kind of subsystem {kind!r}"
            raise InvalidInputError.of("subsystem_kinds", message, given=kind, allowed=allowed)
    if not (lesson.always or lesson.characteristics or lesson.subsystem_kinds):
        raise InvalidInputError.of(
            "characteristics",
            "say to what it applies",
            allowed="characteristics of projects, kinds of subsystem, or always",
        )


def _names(given: Any, field: str) -> list[str]:
    names = list(dict.fromkeys(given or []))
    if len(names) > MOST_SCOPES:
        raise InvalidInputError.of(
            field, "too many of them", given=len(names), allowed=f"up to {MOST_SCOPES}"
        )
    return names


def _check_characteristics(names: Sequence[str]) -> None:
    for name in names:
        try:
            SLUG(name)
        except ValidationError as error:
            message = f"{name!r} is no characteristic"
            raise InvalidInputError.of(
                "characteristics", message, given=name, allowed="such as external-dram"
            ) from error


def _share(actor: Actor, lesson: Lesson, *, wanted: bool) -> None:
    if not wanted:
        message = f"{lesson} was shared with the site and may have been read; withdraw it instead"
        raise ConflictError(message)
    state = state_of(lesson)
    if state not in STANDING:
        # Its page names its successor, which may be kept in its project.
        message = f"{lesson} is {state}; share the lesson that replaces it"
        raise ConflictError(message)
    lesson.shared_at = clock.now()
    check_whole(lesson)
    lesson.save(update_fields=["shared_at"])
    fields = {"shared with the site": ["no", "yes"]}
    note_change(lesson, action="changed", actor=actor, project_id=lesson.project_id, fields=fields)
