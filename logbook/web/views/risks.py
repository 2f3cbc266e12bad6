"""The open-risk list of a revision, and Next spin, the door that leads to it."""

from __future__ import annotations

from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.safestring import SafeString
from django.views.decorators.http import require_safe

from logbook.core.risk import FUNCTION_BANDS, HARM_BANDS, ProbabilityBands
from logbook.planning.models import NotApplicable
from logbook.planning.queries import OpenRisks, RiskRow, open_risks_of
from logbook.planning.queries.applicability import not_applicable_on
from logbook.projects.models import Revision
from logbook.projects.queries import newest_revision_of, revisions_of, subsystem_keys
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.reviews import RiskForm
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import asked_of, boards_at_hand, day_of, is_wanted, opened_revision
from logbook.web.risk_list import Deciding, risk_lines
from logbook.web.risk_rows import (
    ClosingPlaces,
    LevelCount,
    MatrixCell,
    ShownRisk,
    level_counts,
    matrix_of,
    shown_risks,
)
from logbook.web.unchanged import kept_while_unchanged

RISKS_HEADER = (
    "level", "kind", "subject_kind", "subject", "name", "subsystems", "targets", "reason", "probability",
    "probability_basis", "severity", "function_level", "harm", "harm_level", "hours", "fan_out", "boards",
    "closes", "weight", "decided", "decision", "hold", "because",
)  # fmt: skip


@dataclass(frozen=True)
class RisksPage:
    """What the open-risk list shows; without ``risks`` the filter could not be read."""

    page: ProjectPage
    revision: Revision
    revisions: list[Revision]
    form: forms.Form
    risks: OpenRisks | None
    levels: tuple[LevelCount, ...]
    rows: tuple[ShownRisk, ...]
    lines: SafeString
    has_targets: bool
    may_decide: bool
    undecided: int
    not_applicable: list[NotApplicable]
    matrix: tuple[tuple[str, tuple[MatrixCell, ...]], ...]
    function_bands: ProbabilityBands
    harm_bands: ProbabilityBands


@dataclass(frozen=True)
class NoRevisionPage:
    """What Next spin shows before there is a revision."""

    page: ProjectPage


@require_safe
@signed_in
@kept_while_unchanged
def risk_list(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show every open reason why the next spin may fail: undecided ones first, then worst first."""
    page, revision = opened_revision(request, slug, label)
    project = page.project
    form = RiskForm(request.GET, subsystems=subsystem_keys(page.project))
    risks = asked_of(form, lambda day: open_risks_of(revision, as_of=day))
    wanted = [row for row in risks.rows if is_wanted(form, row)] if risks else []
    boards = boards_at_hand(page, revision, risks.as_of if risks else None)
    places = ClosingPlaces(project, revision, boards.benches, boards.add_url, boards.older)
    rows = shown_risks(wanted, places)
    may_decide = page.may_edit and risks is not None and risks.as_of is None
    context = RisksPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(project)),
        form=form,
        risks=risks,
        levels=level_counts(risks.rows) if risks else (),
        rows=rows,
        lines=risk_lines(rows, Deciding(project.slug, revision, may_decide)),
        has_targets=project.targets.exists(),
        may_decide=may_decide,
        undecided=sum(not row.is_decided for row in risks.rows) if risks else 0,
        not_applicable=list(not_applicable_on(revision)),
        matrix=matrix_of(risks.rows if risks else ()),
        function_bands=FUNCTION_BANDS,
        harm_bands=HARM_BANDS,
    )
    return show(request, "revisions/risks.html", context, status=200 if risks else 400)


@require_safe
@signed_in
def risks_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return the open risks, one a line, in the order of the page."""
    page, revision = opened_revision(request, slug, label)
    form = RiskForm(request.GET, subsystems=subsystem_keys(page.project))
    risks = open_risks_of(revision, as_of=day_of(form))
    lines = (_risk_line(row) for row in risks.rows if is_wanted(form, row))
    return csv_answer(f"{page.project.slug}-{revision.label}-risks.csv", RISKS_HEADER, lines)


@require_safe
@signed_in
def next_spin(request: HttpRequest, slug: str) -> HttpResponse:
    """Lead to the open risks of the newest revision; say what to do first where there is none."""
    page = project_page(request, slug, door="next-spin")
    newest = newest_revision_of(page.project)
    if newest is None:
        return show(request, "revisions/none.html", NoRevisionPage(page))
    return redirect("risk-list", slug, newest.label)


def _risk_line(row: RiskRow) -> tuple[object, ...]:
    held = row.disposition
    return (
        row.level, row.kind, row.subject_kind, row.subject, row.title, " ".join(row.subsystems),
        " ".join(row.targets), row.reason, f"{row.probability:.6g}", row.probability_basis, row.severity,
        row.function_level, row.harm, row.harm_level, f"{row.hours:g}", row.fan_out, row.boards, row.closes,
        f"{row.weight:.6g}", "yes" if row.is_decided else "no", held.says if held else "",
        str(held.held.hold) if held else "", held.held.because if held else "",
    )  # fmt: skip
