"""The page of one lesson, and its next state."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from logbook.bench.check_templates import CheckTemplate, library
from logbook.bench.models import Target
from logbook.common.changes import Actor
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.lessons.choices import MOVES, LessonState
from logbook.lessons.commands import accept_lesson, replace_lesson, withdraw_lesson
from logbook.lessons.models import Lesson, LessonAnswer, LessonCheck, LessonEvent
from logbook.lessons.queries import check_may_edit, lesson_for, may_edit
from logbook.lessons.queries.lists import answers_to, life_of, predecessors_of, targets_from
from logbook.projects.queries import edits_somewhere, role_of
from logbook.web.access import actor_of, person, signed_in
from logbook.web.forms.fields import add_problems
from logbook.web.forms.lessons import LessonMoveForm
from logbook.web.rendering import show


@dataclass(frozen=True)
class LessonPage:
    """What the page of a lesson shows; the check template is the one its check names."""

    lesson: Any
    life: Sequence[LessonEvent]
    predecessors: Sequence[Lesson]
    answers: Sequence[LessonAnswer]
    targets: Sequence[Target]
    check: LessonCheck | None
    template: CheckTemplate | None
    is_member: bool
    may_edit: bool
    may_add_target: bool
    move: forms.Form | None


@signed_in
@require_safe
def lesson_detail(request: HttpRequest, key: str) -> HttpResponse:
    """Show a lesson."""
    lesson = lesson_for(person(request), key)
    return _answer(request, lesson, _move_form(request, lesson))


def _move_form(request: HttpRequest, lesson: Any, data: Any = None) -> LessonMoveForm:
    return LessonMoveForm(data, lesson=lesson, allowed=MOVES[lesson.state], person=person(request))


def _answer(request: HttpRequest, lesson: Any, move: forms.Form, *, status: int = 200) -> HttpResponse:
    user = person(request)
    check: LessonCheck | None = getattr(lesson, "carried_check", None)
    able = may_edit(user, lesson)
    context = LessonPage(
        lesson=lesson,
        life=life_of(lesson),
        predecessors=predecessors_of(lesson, user),
        answers=list(answers_to(lesson, user)),
        targets=targets_from(lesson, user),
        check=check,
        template=library().checks.get(check.template) if check else None,
        is_member=bool(role_of(user, lesson.project)),
        may_edit=able,
        may_add_target=check is not None and edits_somewhere(user),
        move=move if able and MOVES[lesson.state] else None,
    )
    return show(request, "lessons/detail.html", context, status=status)


@signed_in
@require_POST
def lesson_move(request: HttpRequest, key: str) -> HttpResponse:
    """Accept, withdraw or supersede a lesson."""
    lesson = lesson_for(person(request), key)
    check_may_edit(person(request), lesson)
    form = _move_form(request, lesson, request.POST)
    if form.is_valid():
        try:
            event = _moved(actor_of(request), lesson, **form.cleaned_data)
        except (InvalidInputError, ConflictError) as error:
            add_problems(form, error)
        else:
            messages.success(request, f"{lesson} is {event.state}.")
            return redirect("lesson-detail", lesson.key)
    return _answer(request, lesson, form, status=400)


def _moved(actor: Actor, lesson: Lesson, to: str, note: str, superseded_by: Lesson | None) -> LessonEvent:
    if to == LessonState.SUPERSEDED:
        if superseded_by is None:
            raise InvalidInputError.of("superseded_by", "name the lesson that replaces it", code="required")
        return replace_lesson(actor=actor, lesson=lesson, successor=superseded_by, note=note)
    move = accept_lesson if to == LessonState.ACCEPTED else withdraw_lesson
    return move(actor=actor, lesson=lesson, note=note)
