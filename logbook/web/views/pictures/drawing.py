"""A bundle of Gerber files: what each holds, confirmed, and how far drawing it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from logbook.common.errors import ConflictError, InvalidInputError
from logbook.evidence.choices import DrawingState, FoundBy
from logbook.evidence.commands import confirm_layers
from logbook.evidence.gerber.drawing import is_available
from logbook.evidence.models import BoardPicture, Drawing
from logbook.evidence.queries.pictures import drawing_numbered
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.fields import add_problems, sent
from logbook.web.forms.pictures import LayersForm
from logbook.web.rendering import show


@dataclass(frozen=True)
class LayerRow:
    """A file of the bundle, what it was taken for, by what, and the field to say otherwise."""

    name: str
    found_by: str
    says: str
    field: forms.BoundField


@dataclass(frozen=True)
class DrawingPage:
    """What the page of a bundle shows."""

    page: ProjectPage
    drawing: Drawing
    rows: Sequence[LayerRow]
    form: LayersForm
    pictures: Sequence[BoardPicture]
    may_confirm: bool
    is_at_work: bool
    is_available: bool


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def drawing_detail(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show what each file holds, or take what a person says it holds."""
    page = project_page(request, slug, may="record" if request.method == "POST" else "read")
    drawing = drawing_numbered(page.project, number)
    form = LayersForm(sent(request), layers=drawing.layers)
    if request.method == "POST" and form.is_valid():
        try:
            confirm_layers(actor=actor_of(request), drawing=drawing, layers=form.chosen())
        except (InvalidInputError, ConflictError) as error:
            add_problems(form, error)
        else:
            return redirect("drawing-detail", slug, number)
    waits = drawing.state in {DrawingState.TO_CONFIRM, DrawingState.REFUSED}
    context = DrawingPage(
        page=ProjectPage(page.project, page.role, "next-spin", drawing.revision),
        drawing=drawing,
        rows=[
            LayerRow(row["name"], FoundBy(row["found_by"]).label, row["says"], form[f"layer-{place}"])
            for place, row in enumerate(drawing.layers)
        ],
        form=form,
        pictures=list(drawing.pictures.order_by("-side")),
        may_confirm=waits and page.may_record,
        is_at_work=drawing.state == DrawingState.WAITING,
        is_available=is_available(),
    )
    return show(request, "pictures/drawing.html", context, status=400 if form.errors else 200)


@signed_in
@require_safe
def drawing_state(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Return how far drawing is."""
    drawing = drawing_numbered(project_page(request, slug).project, number)
    at_work = drawing.state == DrawingState.WAITING
    return JsonResponse({"at_work": at_work, "state": drawing.state, "progress": 0 if at_work else 100})
