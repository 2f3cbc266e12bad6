"""The reworks of a project, the page of one, its re-checks and what shows it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from logbook.bench.commands import attach_to_rework, recheck_rework
from logbook.bench.queries.lists import measurement_named
from logbook.bench.queries.reworks import ReworkLine, rework_lines
from logbook.boards.queries import board_of, rework_of, reworks_of_project
from logbook.common.errors import DomainError
from logbook.findings.commands import link_rework
from logbook.findings.models import Finding
from logbook.findings.queries import findings_of_rework
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.boards import RecheckForm, ReworkFilter
from logbook.web.forms.fields import add_problems
from logbook.web.forms.findings import EvidenceChoiceForm, FindingChoiceForm
from logbook.web.rendering import csv_answer, show

HEADER = (
    "board", "key", "kind", "intent", "what", "paths", "reason", "subsystems", "in_force_from",
    "in_force_until", "reversible", "recheck",
)  # fmt: skip


@dataclass(frozen=True)
class ReworkListPage:
    """What the list of reworks shows."""

    page: ProjectPage
    rows: Sequence[ReworkLine]
    filter: forms.Form
    is_filtered: bool


@dataclass(frozen=True)
class ReworkPage:
    """What the page of a rework shows."""

    page: ProjectPage
    line: ReworkLine
    findings: Sequence[Finding]
    form: forms.Form
    attach: forms.Form | None
    because: forms.Form | None


@signed_in
@require_safe
def rework_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show what was done to the boards of a project by hand, newest first."""
    frame = project_page(request, slug)
    form, rows = _asked_for(request, frame)
    is_filtered = any(request.GET.get(name) for name in form.fields)
    return show(request, "reworks/list.html", ReworkListPage(frame, rows, form, is_filtered))


@signed_in
@require_safe
def rework_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the same list as a table."""
    frame = project_page(request, slug)
    _, rows = _asked_for(request, frame)
    return csv_answer(f"{slug}-reworks.csv", HEADER, (_csv(row) for row in rows))


def _csv(line: ReworkLine) -> tuple[object, ...]:
    row = line.rework
    return (
        row.board.serial,
        row.key,
        row.kind,
        row.intent,
        row.what,
        "; ".join(str(path) for path in row.paths.all()),
        row.reason,
        " ".join(subsystem.key for subsystem in row.subsystems.all()),
        row.in_force_from.isoformat(),
        row.in_force_until.isoformat() if row.in_force_until else "",
        "yes" if row.reversible else "no",
        line.says,
    )


def _asked_for(request: HttpRequest, frame: ProjectPage) -> tuple[forms.Form, list[ReworkLine]]:
    form = ReworkFilter(request.GET)
    given = form.cleaned_data if form.is_valid() else {}
    rows = reworks_of_project(frame.project).order_by("-in_force_from", "-id")
    if given.get("board"):
        rows = rows.filter(board__serial=given["board"])
    if given.get("intent"):
        rows = rows.filter(intent=given["intent"])
    lines = rework_lines(rows)
    return form, [line for line in lines if line.is_recheck_open] if given.get("recheck") else lines


@signed_in
@require_safe
def rework_detail(request: HttpRequest, slug: str, serial: str, key: str) -> HttpResponse:
    """Show everything recorded of a rework."""
    frame = project_page(request, slug)
    return _detail(request, frame, serial, key, RecheckForm())


@signed_in
@require_POST
def rework_recheck(request: HttpRequest, slug: str, serial: str, key: str) -> HttpResponse:
    """Record that a rework was checked after it was done."""
    frame = project_page(request, slug, may="record")
    rework = rework_of(board_of(frame.project, serial), key)
    form = RecheckForm(request.POST)
    if form.is_valid():
        given = dict(form.cleaned_data)
        try:
            number = given.pop("measurement")
            measurement = measurement_named(frame.project, number) if number else None
            recheck_rework(actor=actor_of(request), rework=rework, measurement=measurement, **given)
        except DomainError as error:
            add_problems(form, error)
        else:
            return redirect("rework-detail", slug, serial, key)
    return _detail(request, frame, serial, key, form, status=400)


@signed_in
@require_POST
def rework_evidence(request: HttpRequest, slug: str, serial: str, key: str) -> HttpResponse:
    """Put a file of the project with a rework."""
    frame = project_page(request, slug, may="record")
    rework = rework_of(board_of(frame.project, serial), key)
    form = EvidenceChoiceForm(request.POST, project=frame.project)
    if form.is_valid():
        attach_to_rework(actor=actor_of(request), rework=rework, evidence=form.cleaned_data["evidence"])
    return redirect("rework-detail", slug, serial, key)


@signed_in
@require_POST
def rework_finding(request: HttpRequest, slug: str, serial: str, key: str) -> HttpResponse:
    """Say because of which finding a rework was done."""
    frame = project_page(request, slug, may="record")
    rework = rework_of(board_of(frame.project, serial), key)
    form = FindingChoiceForm(request.POST, project=frame.project)
    if form.is_valid():
        link_rework(actor=actor_of(request), finding=form.cleaned_data["finding"], rework=rework)
    return redirect("rework-detail", slug, serial, key)


def _detail(
    request: HttpRequest,
    frame: ProjectPage,
    serial: str,
    key: str,
    form: forms.Form,
    *,
    status: int = 200,
) -> HttpResponse:
    rework = rework_of(board_of(frame.project, serial), key)
    (line,) = rework_lines([rework])
    attach = EvidenceChoiceForm(project=frame.project) if frame.may_record else None
    because = FindingChoiceForm(project=frame.project) if frame.may_record else None
    findings = list(findings_of_rework(rework))
    context = ReworkPage(frame, line, findings, form, attach, because)
    return show(request, "reworks/detail.html", context, status=status)
