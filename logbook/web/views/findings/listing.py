"""The findings of a project."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.findings.queries import OpenCount, findings_of, open_counts
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.findings import FindingFilter
from logbook.web.rendering import csv_answer, show

HEADER = (
    "finding", "title", "state", "severity", "harm", "cause_family", "subsystem", "found_on", "found_at",
    "revisions", "boards", "targets", "place", "trigger", "workaround",
)  # fmt: skip


@dataclass(frozen=True)
class FindingListPage:
    """What the list of findings shows."""

    page: ProjectPage
    findings: Sequence[Any]
    counts: Sequence[OpenCount]
    filter: forms.Form
    is_filtered: bool


@signed_in
@require_safe
def finding_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the findings of a project, what is open first."""
    frame = project_page(request, slug)
    form, rows = _asked_for(request, frame)
    is_filtered = any(request.GET.get(name) for name in form.fields)
    context = FindingListPage(frame, rows, open_counts(frame.project), form, is_filtered)
    return show(request, "findings/list.html", context)


@signed_in
@require_safe
def findings_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the same list as a table."""
    frame = project_page(request, slug)
    _, rows = _asked_for(request, frame)
    return csv_answer(f"{slug}-findings.csv", HEADER, [_line(row) for row in rows])


def _asked_for(request: HttpRequest, frame: ProjectPage) -> tuple[forms.Form, list[Any]]:
    form = FindingFilter(request.GET)
    return form, list(findings_of(frame.project, form.cleaned_data if form.is_valid() else {}))


def _line(row: Any) -> tuple[object, ...]:
    return (
        row.key,
        row.title,
        row.state,
        row.severity,
        row.harm,
        row.cause_family,
        row.subsystem.key,
        row.found_on.serial if row.found_on else "",
        row.found_at.isoformat(),
        " ".join(one.label for one in row.revisions.all()),
        " ".join(one.serial for one in row.boards.all()),
        " ".join(one.key for one in row.targets.all()),
        row.place,
        row.trigger,
        row.workaround,
    )
