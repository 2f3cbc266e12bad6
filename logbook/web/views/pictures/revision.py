"""The pictures of a revision, and what is placed on them as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.evidence.models import BoardPicture, Drawing
from logbook.evidence.queries.pictures import drawings_of, pictures_of, placings_of
from logbook.projects.models import Revision
from logbook.projects.queries import revisions_of
from logbook.web.access import ProjectPage, signed_in
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import opened_revision

HEADER = (
    "placing", "picture", "side", "kind", "key", "text", "x", "y", "x_mm", "y_mm",
    "recorded_at", "recorded_by",
)  # fmt: skip


@dataclass(frozen=True)
class PicturesPage:
    """What the page of a revision's pictures shows."""

    page: ProjectPage
    revision: Revision
    revisions: Sequence[Revision]
    pictures: Sequence[BoardPicture]
    drawings: Sequence[Drawing]


@signed_in
@require_safe
def revision_pictures(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show the pictures of both sides."""
    page, revision = opened_revision(request, slug, label)
    context = PicturesPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(page.project)),
        pictures=list(pictures_of(revision)),
        drawings=list(drawings_of(revision)),
    )
    return show(request, "pictures/revision.html", context)


@signed_in
@require_safe
def placings_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return what is placed on the pictures of a revision."""
    page, revision = opened_revision(request, slug, label)
    lines = []
    for one in placings_of(revision):
        frame = one.picture.frame
        mm = frame.to_mm.at(one.x * one.picture.width, one.y * one.picture.height) if frame else ("", "")
        who = one.recorded_by.get_username() if one.recorded_by else ""
        at = (f"{one.x:.4f}", f"{one.y:.4f}", *(f"{value:.2f}" if frame else "" for value in mm))
        what = (one.pk, one.picture_id, one.picture.side, one.kind, one.key, one.text)
        lines.append((*what, *at, one.recorded_at.isoformat(), who))
    return csv_answer(f"{page.project.slug}-{revision.label}-placings.csv", HEADER, lines)
