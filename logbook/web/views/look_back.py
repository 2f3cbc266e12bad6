"""Looking back: the return brief for somebody who comes back after a long time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.common.errors import InvalidInputError
from logbook.projects.models import NOTE_TEXTS, Project, ShelvingNote
from logbook.recall.return_brief import ReturnBrief, return_brief_of
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.fields import add_problems
from logbook.web.forms.look_back import PARTS, LookBackForm
from logbook.web.rendering import show


@dataclass(frozen=True)
class LookBackPage:
    """What the return brief shows; without ``brief`` the day could not be read."""

    page: ProjectPage
    form: forms.Form
    brief: ReturnBrief | None
    note: Sequence[tuple[str, str]]


@signed_in
@require_safe
def look_back(request: HttpRequest, slug: str) -> HttpResponse:
    """Show where the project stands, today or at the end of a past day."""
    page = project_page(request, slug, door="look-back")
    form = LookBackForm(request.GET)
    brief = _asked_of(form, page.project)
    if brief:
        page = replace(page, revision=brief.revisions.built)
    note = _parts(brief.shelving.note) if brief and brief.shelving.note else []
    context = LookBackPage(page, form, brief, note)
    return show(request, "look_back/page.html", context, status=200 if brief else 400)


def _asked_of(form: forms.Form, project: Project) -> ReturnBrief | None:
    if not form.is_valid():
        return None
    try:
        return return_brief_of(project, as_of=form.cleaned_data["as_of"])
    except InvalidInputError as error:
        add_problems(form, error)
        return None


def _parts(note: ShelvingNote) -> list[tuple[str, str]]:
    """Return what a note says, each part under its own heading; empty parts are left out."""
    said = ((PARTS[name][0], getattr(note, name)) for name in NOTE_TEXTS)
    return [(label, text) for label, text in said if text]
