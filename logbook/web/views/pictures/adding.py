"""Adding a picture of a side: a photo, or the Gerber files it is drawn from."""

from __future__ import annotations

import io
from typing import IO, Any

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.common.errors import InvalidInputError
from logbook.evidence.choices import EvidenceKind
from logbook.evidence.commands import add_drawing, add_evidence, add_picture
from logbook.evidence.gerber.bundle import MOST_BYTES, SIGN, packed
from logbook.evidence.queries import evidence_numbered
from logbook.projects.queries import revision_of
from logbook.web.access import actor_of, project_page, signed_in
from logbook.web.forms.pictures import GerberForm, PhotoForm
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])
PHOTO_LEAD = "What is placed on a picture keeps its place however large it is shown."
GERBER_LEAD = "Both sides are drawn to scale. What each file holds is shown first, for you to confirm."


def _files(request: HttpRequest) -> tuple[Any, ...]:
    return (request.POST, request.FILES) if request.method == "POST" else ()


@signed_in
@FORM
def photo_add(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Take a photo as the picture of a side."""
    page = project_page(request, slug, may="record", door="next-spin")
    revision = revision_of(page.project, label)
    form = PhotoForm(*_files(request), initial={"side": "top"}, project=page.project)

    def save(given: dict[str, Any]) -> Saved:
        actor = actor_of(request)
        if given["file"]:
            evidence = add_evidence(
                actor=actor,
                project=page.project,
                revision=revision,
                name=given["file"].name or "",
                stream=given["file"],
                kind=EvidenceKind.PHOTO,
                caption=f"{given['side'].capitalize()} side of {label}",
            )
        else:
            evidence = evidence_numbered(page.project, int(given["kept"]))
        picture = add_picture(actor=actor, revision=revision, side=given["side"], evidence=evidence)
        says = f"The photo is a picture of the {picture.side} side of {label}."
        return Saved(says, reverse("picture-detail", args=[slug, picture.pk]))

    back = reverse("revision-pictures", args=[slug, label])
    return answer_form(request, FormPage(page, form, f"Photo of {label}", PHOTO_LEAD, "Take it", back), save)


@signed_in
@FORM
def gerber_add(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Keep the Gerber files of a revision and go on to confirm their layers."""
    page = project_page(request, slug, may="record", door="next-spin")
    revision = revision_of(page.project, label)
    form = GerberForm(*_files(request))

    def save(given: dict[str, Any]) -> Saved:
        actor = actor_of(request)
        name, stream = _bundle(given["file"], f"{slug}-{label}-gerber.zip")
        evidence = add_evidence(
            actor=actor,
            project=page.project,
            revision=revision,
            name=name,
            stream=stream,
            kind=EvidenceKind.GERBER,
            caption=f"Gerber files of {label}",
        )
        drawing = add_drawing(actor=actor, revision=revision, evidence=evidence)
        return Saved("The files are kept.", reverse("drawing-detail", args=[slug, drawing.pk]))

    back = reverse("revision-pictures", args=[slug, label])
    title = f"Gerber files of {label}"
    return answer_form(request, FormPage(page, form, title, GERBER_LEAD, "Read them", back), save)


def _bundle(files: list[UploadedFile[Any]], name: str) -> tuple[str, IO[bytes]]:
    """Return the one ZIP that was sent, or one made of the files."""
    first = files[0]
    if len(files) == 1 and first.read(len(SIGN)) == SIGN:
        first.seek(0)
        return first.name or name, first
    first.seek(0)
    if sum(file.size or 0 for file in files) > MOST_BYTES:
        allowed = f"up to {MOST_BYTES // 1_000_000} MB together"
        raise InvalidInputError.of("file", "the files are too large", allowed=allowed, code="too_large")
    return name, io.BytesIO(packed((file.name or "file", file.read()) for file in files))
