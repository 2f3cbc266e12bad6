"""The files of a project, and adding some."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from logbook.bench.commands.evidence import attach_to_measurement, attach_to_session
from logbook.bench.queries.lists import bench_session_of, measurement_of
from logbook.boards.queries import board_named
from logbook.common.errors import DomainError, InvalidInputError
from logbook.evidence.commands import add_evidence
from logbook.evidence.models import Evidence
from logbook.evidence.queries import evidence_of
from logbook.findings.commands.recording import attach_to_finding
from logbook.findings.queries import finding_named
from logbook.projects.models import Project
from logbook.projects.queries import revision_named
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.evidence import EvidenceFilter, EvidenceForm
from logbook.web.forms.fields import add_problems
from logbook.web.paging import newest_first
from logbook.web.rendering import csv_answer, show

HEADER = (
    "evidence", "kind", "name", "caption", "board", "revision", "media_type", "size", "sha256", "taken_at",
    "recorded_at", "recorded_by",
)  # fmt: skip
MOST_EXPORTED = 10_000
FILTERS = ("text", "kind", "board", "revision")
PREFILLED = ("board", "revision", "session", "measurement", "finding")


@dataclass(frozen=True)
class EvidenceListPage:
    """What the list of files shows."""

    page: ProjectPage
    rows: Sequence[Evidence]
    after: str
    form: forms.Form
    is_filtered: bool


@dataclass(frozen=True)
class EvidenceFormPage:
    """What the form for adding files shows."""

    page: ProjectPage
    form: forms.Form
    back: str


@signed_in
@require_safe
def evidence_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the files of a project, newest first."""
    page = project_page(request, slug)
    asked = _asked(request)
    found = newest_first(evidence_of(page.project, asked), request.GET.get("after", ""))
    form = EvidenceFilter(asked)
    context = EvidenceListPage(page, found.rows, found.after, form, any(asked.values()))
    return show(request, "evidence/list.html", context)


@signed_in
@require_safe
def evidence_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the list of files as CSV."""
    page = project_page(request, slug)
    rows = evidence_of(page.project, _asked(request))[:MOST_EXPORTED]
    return csv_answer(f"{slug}-evidence.csv", HEADER, (_csv(row) for row in rows))


def _asked(request: HttpRequest) -> dict[str, str]:
    return {name: request.GET.get(name, "").strip() for name in FILTERS}


def _csv(row: Evidence) -> tuple[object, ...]:
    return (
        row.pk,
        row.kind,
        row.name,
        row.caption,
        row.board.serial if row.board else "",
        row.revision.label if row.revision else "",
        row.media_type,
        row.size,
        row.sha256,
        row.taken_at.isoformat() if row.taken_at else "",
        row.recorded_at.isoformat(),
        row.recorded_by.get_username() if row.recorded_by else "",
    )


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def evidence_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Add files; one that cannot be kept is named, the others are kept."""
    page = project_page(request, slug, may="record")
    back = reverse("evidence-list", args=[slug])
    if request.method != "POST":
        initial = {name: request.GET.get(name, "") for name in PREFILLED}
        form = EvidenceForm(initial=initial, project=page.project)
        return show(request, "evidence/form.html", EvidenceFormPage(page, form, back))
    form = EvidenceForm(request.POST, request.FILES, project=page.project)
    if form.is_valid():
        kept = _keep_all(request, page.project, form)
        if kept:
            names = ", ".join(evidence.name for evidence in kept)
            messages.success(request, f"Kept: {names}.")
        if not form.errors:
            return redirect(back if len(kept) > 1 else reverse("evidence-detail", args=[slug, kept[0].pk]))
    return show(request, "evidence/form.html", EvidenceFormPage(page, form, back), status=400)


def _keep_all(request: HttpRequest, project: Project, form: EvidenceForm) -> list[Evidence]:
    given = form.cleaned_data
    kept: list[Evidence] = []
    for file in given["file"]:
        try:
            kept.append(_keep(request, project, file, given))
        except InvalidInputError as error:
            add_problems(form, _named(error, file))
        except DomainError as error:
            add_problems(form, error)
    return kept


def _keep(request: HttpRequest, project: Project, file: UploadedFile[Any], given: dict[str, Any]) -> Evidence:
    """Keep one file where the form says; everything it is to stand behind is found before."""
    actor = actor_of(request)
    session = bench_session_of(project, int(given["session"])) if given["session"] else None
    measurement = measurement_of(project, given["measurement"]) if given["measurement"] else None
    finding = finding_named(project, given["finding"]) if given["finding"] else None
    evidence = add_evidence(
        actor=actor,
        project=project,
        name=file.name or "",
        stream=file,
        kind=given["kind"],
        caption=given["caption"],
        board=board_named(project, given["board"]) if given["board"] else None,
        revision=revision_named(project, given["revision"]) if given["revision"] else None,
        taken_at=given["taken_at"],
    )
    if session is not None:
        attach_to_session(actor=actor, session=session, evidence=evidence)
    if measurement is not None:
        attach_to_measurement(actor=actor, measurement=measurement, evidence=evidence)
    if finding is not None:
        attach_to_finding(actor=actor, finding=finding, evidence=evidence)
    return evidence


def _named(error: InvalidInputError, file: UploadedFile[Any]) -> InvalidInputError:
    """Say of which file an error speaks, at the field of the files."""
    first = error.problems[0] if error.problems else None
    field = first.field if first else "file"
    allowed = first.allowed if first else ""
    return InvalidInputError.of(field, f"the file {file.name}: {error.message}", allowed=allowed)
