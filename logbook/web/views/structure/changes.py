"""The record of changes of a project: who, when, what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.common.models import ChangeRecord
from logbook.common.queries import changes_of_project, kinds_changed_in
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.projects import ChangeFilter
from logbook.web.paging import newest_first
from logbook.web.rendering import csv_answer, show

HEADER = ("at", "who", "via", "action", "kind", "title", "what")
MOST_EXPORTED = 20_000


@dataclass(frozen=True)
class ChangeListPage:
    """What the record of changes shows."""

    page: ProjectPage
    changes: Sequence[ChangeRecord]
    after: str
    filter: forms.Form
    is_filtered: bool


@signed_in
@require_safe
def change_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the changes of a project, newest first, a page at a time."""
    frame = project_page(request, slug)
    form = ChangeFilter(request.GET, kinds=kinds_changed_in(frame.project.pk))
    given = form.cleaned_data if form.is_valid() else {}
    changes = changes_of_project(frame.project.pk, kind=given.get("kind", ""), text=given.get("q", ""))
    found = newest_first(changes, request.GET.get("after", ""))
    is_filtered = any(request.GET.get(name) for name in form.fields)
    return show(
        request, "projects/changes.html", ChangeListPage(frame, found.rows, found.after, form, is_filtered)
    )


@signed_in
@require_safe
def change_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the newest 20,000 changes as a table."""
    frame = project_page(request, slug)
    changes = changes_of_project(
        frame.project.pk, kind=request.GET.get("kind", ""), text=request.GET.get("q", "")
    )
    rows = [
        (row.at.isoformat(), row.actor or "", row.via, row.action, row.kind, row.title, _what(row))
        for row in changes[:MOST_EXPORTED]
    ]
    return csv_answer(f"{slug}-changes.csv", HEADER, rows)


def _what(row: ChangeRecord) -> str:
    return "; ".join(f"{name}: {old} → {new}" for name, (old, new) in row.fields.items())
