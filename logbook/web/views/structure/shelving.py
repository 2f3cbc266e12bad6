"""The note of the last day, begun with what the site knows already."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.projects.commands import write_shelving_note
from logbook.projects.models import NOTE_TEXTS, Project
from logbook.projects.queries import shelving_of
from logbook.recall.return_brief import return_brief_of
from logbook.recall.return_brief.draft import shelving_draft
from logbook.web.access import actor_of, project_page, signed_in
from logbook.web.forms.fields import sent
from logbook.web.forms.look_back import ShelvingNoteForm
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def shelving_note(request: HttpRequest, slug: str) -> HttpResponse:
    """Write the note of a project that was laid aside; an earlier one stays on record."""
    frame = project_page(request, slug, may="edit")
    project = frame.project
    form = ShelvingNoteForm(sent(request), initial=None if request.method == "POST" else _begun(project))
    back = reverse("look-back", args=[slug])

    def save(given: dict[str, Any]) -> Saved:
        day = given.pop("look_again_on")
        write_shelving_note(actor=actor_of(request), project=project, texts=given, look_again_on=day)
        return Saved("The note is kept. It stands at the top of Look back.", back)

    lead = (
        "Fifteen minutes now save days later. What the site knows is filled in below: correct it, add what "
        "only you know, leave out what you like."
    )
    shown = FormPage(frame, form, f"Shelving note of {project}", lead, "Keep the note", back)
    return answer_form(request, shown, save)


def _begun(project: Project) -> dict[str, Any]:
    """Return the note there is, or else a draft."""
    note = shelving_of(project).note
    if note is None:
        return shelving_draft(return_brief_of(project))
    return {name: getattr(note, name) for name in (*NOTE_TEXTS, "look_again_on")}
