"""The projects of the person signed in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.bench.queries.standing import with_last_reading
from logbook.projects.models import Project
from logbook.projects.queries import projects_visible_to
from logbook.web.access import person, signed_in
from logbook.web.forms.projects import ProjectFilter
from logbook.web.rendering import csv_answer, show

HEADER = ("slug", "code", "name", "state", "role", "characteristics", "last_reading")


@dataclass(frozen=True)
class ProjectListPage:
    """What the list of projects shows."""

    projects: Sequence[Project]
    filter: forms.Form
    is_filtered: bool


@signed_in
@require_safe
def project_list(request: HttpRequest) -> HttpResponse:
    """Show the projects this person belongs to."""
    form, projects = _asked_for(request)
    is_filtered = bool(request.GET.get("q") or request.GET.get("state"))
    return show(request, "projects/list.html", ProjectListPage(projects, form, is_filtered))


@signed_in
@require_safe
def project_csv(request: HttpRequest) -> HttpResponse:
    """Return the same list as a table."""
    _, projects = _asked_for(request)
    rows = [
        (
            project.slug,
            project.code,
            project.name,
            project.state,
            getattr(project, "role", ""),
            " ".join(tag.name for tag in project.characteristics.all()),
            getattr(project, "last_read_at", None),
        )
        for project in projects
    ]
    return csv_answer("projects.csv", HEADER, rows)


def _asked_for(request: HttpRequest) -> tuple[forms.Form, Sequence[Project]]:
    form = ProjectFilter(request.GET)
    wanted = form.cleaned_data if form.is_valid() else {}
    projects = projects_visible_to(person(request), text=wanted.get("q", ""), state=wanted.get("state", ""))
    return form, list(with_last_reading(projects))
