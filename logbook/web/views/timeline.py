"""The story of a project by day."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.recall.timeline import Timeline, lines_of, timeline_of
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.timeline import TimelineFilter
from logbook.web.rendering import csv_answer, show

HEADER = ("day", "hour", "kind", "what", "note", "verdict", "address")


@dataclass(frozen=True)
class TimelinePage:
    """What the page shows."""

    page: ProjectPage
    form: TimelineFilter
    kind: str
    is_filtered: bool
    timeline: Timeline


@signed_in
@require_safe
def timeline(request: HttpRequest, slug: str) -> HttpResponse:
    """Show some days of the project, the newest first."""
    page = project_page(request, slug)
    form = TimelineFilter(request.GET)
    form.is_valid()
    kind, before = form.cleaned_data.get("kind", ""), form.cleaned_data.get("before")
    days = timeline_of(page.project, kind=kind, before=before)
    context = TimelinePage(page, form, kind, bool(kind or before), days)
    return show(request, "timeline/page.html", context)


@signed_in
@require_safe
def timeline_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return every line of that kind as a table."""
    project = project_page(request, slug).project
    form = TimelineFilter(request.GET)
    form.is_valid()
    lines = lines_of(project, kind=form.cleaned_data.get("kind", ""))
    rows = [(one.day, one.hour, one.kind, one.title, one.note, one.verdict, one.url) for one in lines]
    return csv_answer(f"{project.slug}-timeline.csv", HEADER, rows)
