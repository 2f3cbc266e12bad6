"""The lessons of the site."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.lessons.queries import lessons_readable_by
from logbook.projects.queries import edits_somewhere
from logbook.web.access import person, signed_in
from logbook.web.forms.lessons import LessonFilter
from logbook.web.rendering import csv_answer, show

HEADER = (
    "lesson", "rule", "state", "firmness", "discipline", "moment", "project", "finding", "learned_on",
    "always", "characteristics", "subsystem_kinds", "what_happened", "why", "how_to_check", "cost", "shared",
)  # fmt: skip


@dataclass(frozen=True)
class LessonListPage:
    """What the list of lessons shows."""

    lessons: Sequence[Any]
    filter: forms.Form
    is_filtered: bool
    may_add: bool


@signed_in
@require_safe
def lesson_list(request: HttpRequest) -> HttpResponse:
    """Show the lessons this person may read, what stands and is firm first."""
    form, rows = _asked_for(request)
    is_filtered = any(request.GET.get(name) for name in form.fields)
    context = LessonListPage(rows, form, is_filtered, edits_somewhere(person(request)))
    return show(request, "lessons/list.html", context)


@signed_in
@require_safe
def lessons_csv(request: HttpRequest) -> HttpResponse:
    """Return the same list as a table."""
    _, rows = _asked_for(request)
    return csv_answer("lessons.csv", HEADER, [_line(row) for row in rows])


def _asked_for(request: HttpRequest) -> tuple[forms.Form, list[Any]]:
    form = LessonFilter(request.GET)
    filters = form.cleaned_data if form.is_valid() else {}
    return form, list(lessons_readable_by(person(request), filters))


def _line(row: Any) -> tuple[object, ...]:
    return (
        row.key,
        row.rule,
        row.state,
        row.firmness,
        row.discipline,
        row.moment,
        row.project.slug,
        row.finding.key if row.finding else "",
        row.learned_on,
        "yes" if row.always else "no",
        " ".join(row.characteristics),
        ", ".join(row.subsystem_kinds),
        row.what_happened,
        row.why,
        row.how_to_check,
        row.cost,
        "yes" if row.shared_at else "no",
    )
