"""Recording a lesson, changing what is told of it, and making a target of the check it carries."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from logbook.common.errors import InvalidInputError, NotAllowedError
from logbook.findings.models import Finding
from logbook.findings.queries import finding_named
from logbook.lessons.choices import LessonState
from logbook.lessons.commands import add_target_from_lesson, change_lesson, record_lesson
from logbook.lessons.models import QUESTION, TOLD, Lesson
from logbook.lessons.queries import check_may_edit, lesson_for, lesson_named, next_key
from logbook.lessons.queries.lists import projects_edited_by
from logbook.projects.models import Project
from logbook.web.access import actor_of, person, signed_in
from logbook.web.forms.fields import sent
from logbook.web.forms.lessons import CHECK, LessonForm, QuestionForm, TargetForm, ToldForm
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])
CHOSEN_BEFORE = ("project", "finding", "replaces")


@signed_in
@FORM
def lesson_create(request: HttpRequest) -> HttpResponse:
    """Record a lesson; the address may name project, finding and the lesson it supersedes."""
    if not projects_edited_by(person(request)).exists():
        message = "a lesson has a home project; only its owners and editors may write one"
        raise NotAllowedError(message)
    initial: dict[str, Any] = {name: request.GET[name] for name in CHOSEN_BEFORE if name in request.GET}
    initial["learned_on"] = timezone.localdate()
    if "replaces" in initial:
        initial |= _like(lesson_for(person(request), initial["replaces"]))
    form = LessonForm(sent(request), person=person(request), initial=initial)

    def save(given: dict[str, Any]) -> Saved:
        lesson = _recorded(request, form, given)
        return Saved(f"{lesson} is recorded.", reverse("lesson-detail", args=[lesson.key]))

    lead = "What you would want to be asked next time, at the moment you can still do something about it."
    shown = FormPage(None, form, "New lesson", lead, "Record it", reverse("lesson-list"))
    return answer_form(request, shown, save)


def _like(lesson: Lesson) -> dict[str, Any]:
    """Return what a lesson says, as the beginning of the one that supersedes it."""
    asked = {name: getattr(lesson, name) for name in QUESTION if name != "characteristics"}
    return asked | {
        "project": lesson.project.slug,
        "characteristics": " ".join(lesson.characteristics),
        "how_to_check": lesson.how_to_check,
        "is_shared": lesson.shared_at is not None,
    }


def _recorded(request: HttpRequest, form: LessonForm, given: dict[str, Any]) -> Lesson:
    project: Project = given["project"]
    values = {name: given[name] for name in (*QUESTION, *TOLD) if name not in {"rule", "finding"}}
    try:
        return record_lesson(
            actor=actor_of(request),
            project=project,
            key=given["key"] or next_key(project),
            rule=given["rule"],
            state=given["state"],
            is_shared=given["is_shared"],
            replaces=_replaced(request, given["replaces"]),
            check=form.check_given(),
            values=values | {"finding": _finding(project, given["finding"])},
        )
    except InvalidInputError as error:
        problems = [replace(one, field=one.field.replace("check.", CHECK)) for one in error.problems]
        raise InvalidInputError(error.message, problems=problems) from error


def _replaced(request: HttpRequest, key: str) -> list[Lesson]:
    if not key:
        return []
    lesson = lesson_named(person(request), key, field="replaces")
    check_may_edit(person(request), lesson)
    return [lesson]


def _finding(project: Project, key: str) -> Finding | None:
    return finding_named(project, key) if key else None


@signed_in
@FORM
def lesson_edit(request: HttpRequest, key: str) -> HttpResponse:
    """Change what is told of a lesson; what it asks only while it is proposed."""
    lesson = lesson_for(person(request), key)
    check_may_edit(person(request), lesson)
    names = (*QUESTION, *TOLD) if lesson.state == LessonState.PROPOSED else TOLD
    initial: dict[str, Any] = {name: getattr(lesson, name) for name in names}
    initial |= {
        "finding": lesson.finding.key if lesson.finding else "",
        "characteristics": " ".join(lesson.characteristics),
        "is_shared": lesson.shared_at is not None,
    }
    form = (QuestionForm if names != TOLD else ToldForm)(sent(request), initial=initial)
    if lesson.shared_at is not None:
        del form.fields["is_shared"]
    back = reverse("lesson-detail", args=[lesson.key])

    def save(given: dict[str, Any]) -> Saved:
        values = {name: given[name] for name in names} | {
            "finding": _finding(lesson.project, given["finding"])
        }
        change_lesson(actor=actor_of(request), lesson=lesson, values=values, is_shared=given.get("is_shared"))
        return Saved(f"{lesson} is changed.", back)

    lead = "Old and new stay on record."
    if names == TOLD:
        lead += " What it asks stays: a changed view is a new lesson that supersedes this one."
    return answer_form(request, FormPage(None, form, f"Change {lesson}", lead, "Save", back), save)


@signed_in
@FORM
def lesson_target(request: HttpRequest, key: str) -> HttpResponse:
    """Make a target of the check a lesson carries."""
    lesson = lesson_for(person(request), key)
    form = TargetForm(sent(request), person=person(request))

    def save(given: dict[str, Any]) -> Saved:
        target = add_target_from_lesson(actor=actor_of(request), lesson=lesson, **given)
        goes_to = reverse("target-detail", args=[target.project.slug, target.key])
        return Saved(f"{target} is a target of {target.project.name}.", goes_to)

    check = getattr(lesson, "carried_check", None)
    lead = f"{lesson} carries the check {check}." if check else f"{lesson} carries no check."
    back = reverse("lesson-detail", args=[lesson.key])
    shown = FormPage(None, form, f"Target from lesson {lesson}", lead, "Add the target", back)
    return answer_form(request, shown, save)
