"""The page of one file: shown, or analysed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logbook.bench.models import BenchSession
from logbook.bench.queries.evidence import ReadingFrom, link_numbered, readings_from, sessions_with
from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.evidence.choices import AnalysisState, EvidenceKind
from logbook.evidence.commands import ask_analysis, change_evidence
from logbook.evidence.kinds import CAPTURES, name_remark
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.queries import (
    evidence_numbered,
    is_shown,
    numbers_found,
    picture_problem,
)
from logbook.findings.queries import finding_keys_with
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.capture_words import number_text, to_step_of
from logbook.web.forms.evidence import AnalysisForm, CaptionForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.rendering import show
from logbook.web.views.evidence.viewer import Viewer, viewer_of
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form


@dataclass(frozen=True)
class NumberRow:
    """A number of an analysis as it is shown."""

    name: str
    text: str
    says: str
    definition: str


@dataclass(frozen=True)
class EvidencePage:
    """What the page of a file shows."""

    page: ProjectPage
    evidence: Evidence
    is_shown: bool
    picture_problem: str
    remark: str
    analysis: Analysis | None
    is_at_work: bool
    numbers: Sequence[NumberRow]
    has_definitions: bool
    viewer: Viewer | None
    readings: Sequence[ReadingFrom]
    sessions: Sequence[BenchSession]
    findings: Sequence[str]
    form: forms.Form | None


@signed_in
@require_safe
def evidence_detail(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show a file, and of a capture the newest analysis or the one asked for."""
    page = project_page(request, slug)
    evidence = evidence_numbered(page.project, number)
    return _detail(request, page, evidence, None)


def _detail(
    request: HttpRequest,
    page: ProjectPage,
    evidence: Evidence,
    form: AnalysisForm | None,
    *,
    status: int = 200,
) -> HttpResponse:
    analysis = _analysis_asked(evidence, request.GET.get("analysis", ""))
    if form is None and evidence.kind in CAPTURES:
        form = AnalysisForm(initial=analysis.parameters if analysis else {}, kind=evidence.kind)
    is_ready = evidence.kind != EvidenceKind.PHOTO or is_shown(evidence)
    problem = "" if is_ready else picture_problem(evidence)
    at_work = analysis is not None and analysis.state in {AnalysisState.WAITING, AnalysisState.RUNNING}
    numbers = _rows(analysis)
    context = EvidencePage(
        page=page,
        evidence=evidence,
        is_shown=is_ready,
        picture_problem=problem,
        remark=name_remark(evidence.name, evidence.media_type),
        analysis=analysis,
        is_at_work=at_work or not (is_ready or problem),
        numbers=numbers,
        has_definitions=any(one.definition for one in numbers),
        viewer=viewer_of(request.GET, evidence, analysis),
        readings=readings_from(evidence),
        sessions=sessions_with(evidence),
        findings=finding_keys_with(evidence),
        form=form,
    )
    return show(request, "evidence/detail.html", context, status=status)


def _analysis_asked(evidence: Evidence, asked: str) -> Analysis | None:
    analyses = list(evidence.analyses.all())
    if asked:
        found = next((one for one in analyses if str(one.pk) == asked), None)
        if found is None:
            message = f"{evidence} has no analysis {asked[:20]!r}"
            raise NotFoundError(message)
        return found
    return analyses[0] if analyses else None


def _rows(analysis: Analysis | None) -> list[NumberRow]:
    if analysis is None:
        return []
    numbers = numbers_found(analysis)
    span = next((one.value for one in numbers if one.name == "peak_to_peak"), 0)
    return [
        NumberRow(one.name, number_text(to_step_of(one, span)), one.says, one.definition) for one in numbers
    ]


@signed_in
@require_POST
def evidence_analyse(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Ask for another analysis of a capture."""
    page = project_page(request, slug, may="record")
    evidence = evidence_numbered(page.project, number)
    form = AnalysisForm(request.POST, kind=evidence.kind)
    if form.is_valid():
        try:
            asked = ask_analysis(actor=actor_of(request), evidence=evidence, parameters=form.cleaned_data)
        except InvalidInputError as error:
            add_problems(form, error)
        else:
            return redirect(f"{reverse('evidence-detail', args=[slug, number])}?analysis={asked.pk}")
    return _detail(request, page, evidence, form, status=400)


@signed_in
@require_POST
def evidence_compare(request: HttpRequest, slug: str, number: int, link: int) -> HttpResponse:
    """Find the number behind a reading anew from the original file."""
    page = project_page(request, slug, may="record")
    evidence = evidence_numbered(page.project, number)
    found = link_numbered(evidence, link)
    if found is None or found.analysis is None:
        message = f"no reading of {evidence} came from an analysis {link}"
        raise NotFoundError(message)
    ask_analysis(actor=actor_of(request), evidence=evidence, parameters=found.analysis.parameters)
    messages.success(request, "The number is being found anew from the original file.")
    return redirect(reverse("evidence-detail", args=[slug, number]))


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def evidence_edit(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Change the caption; the file itself never changes."""
    page = project_page(request, slug, may="record")
    evidence = evidence_numbered(page.project, number)
    back = reverse("evidence-detail", args=[slug, number])

    def save(given: dict[str, Any]) -> Saved:
        change_evidence(actor=actor_of(request), evidence=evidence, caption=given["caption"])
        return Saved("The caption is changed.", back)

    form = CaptionForm(sent(request), initial={"caption": evidence.caption})
    lead = f"{evidence.name}: the file itself stays as it was given."
    return answer_form(request, FormPage(page, form, "Caption", lead, "Save", back), save)
