"""Looking back: the return brief for somebody who comes back after a long time."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.recall.return_brief import ReturnBrief
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.look_back import LookBackForm
from logbook.web.rendering import show
from logbook.web.reports.brief import NoteShown, brief_asked_of, note_of


@dataclass(frozen=True)
class LookBackPage:
    """What the return brief shows; without ``brief`` the day could not be read."""

    page: ProjectPage
    form: forms.Form
    brief: ReturnBrief | None
    note: NoteShown


@signed_in
@require_safe
def look_back(request: HttpRequest, slug: str) -> HttpResponse:
    """Show where the project stands, today or at the end of a past day."""
    page = project_page(request, slug, door="look-back")
    form = LookBackForm(request.GET)
    brief = brief_asked_of(form, page.project)
    if brief:
        page = replace(page, revision=brief.revisions.built)
    context = LookBackPage(page, form, brief, note_of(brief))
    return show(request, "look_back/page.html", context, status=200 if brief else 400)
