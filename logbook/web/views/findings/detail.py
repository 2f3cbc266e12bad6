"""The page of one finding, and its next step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from logbook.bench.models import CurrentResult, Target
from logbook.bench.queries.reworks import ReworkLine
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.core.risk import SubjectKind
from logbook.core.risk.findings import FindingState
from logbook.evidence.choices import PlacingKind
from logbook.evidence.models import Evidence, Placing
from logbook.evidence.queries.pictures import places_of
from logbook.findings.commands import move_finding
from logbook.findings.models import Finding, FindingEvent
from logbook.findings.queries import (
    evidence_of_finding,
    finding_of,
    life_of,
    results_of,
    reworks_of_finding,
)
from logbook.lessons.models import Lesson
from logbook.lessons.queries.lists import lessons_of
from logbook.planning.queries.decided_before import DecidedBefore, decided_before
from logbook.web.access import ProjectPage, actor_of, person, project_page, signed_in
from logbook.web.forms.fields import add_problems
from logbook.web.forms.findings import EvidenceChoiceForm, StepForm
from logbook.web.rendering import show
from logbook.web.strips import Strip, strip_for


@dataclass(frozen=True)
class Step:
    """A step of the life, and whether its proof was taken back."""

    event: FindingEvent
    is_void: bool


@dataclass(frozen=True)
class TargetLine:
    """A target of the finding with its latest reading on each board."""

    target: Target
    results: Sequence[tuple[CurrentResult, Strip]]


@dataclass(frozen=True)
class FindingPage:
    """What the page of a finding shows."""

    page: ProjectPage
    finding: Finding
    state: str
    life: Sequence[Step]
    ahead: Sequence[str]
    targets: Sequence[TargetLine]
    reworks: Sequence[ReworkLine]
    decided: Sequence[DecidedBefore]
    evidence: Sequence[Evidence]
    places: Sequence[Placing]
    lessons: Sequence[Lesson]
    step: forms.Form | None
    attach: forms.Form | None


@signed_in
@require_safe
def finding_detail(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Show a finding."""
    frame = project_page(request, slug)
    finding = finding_of(frame.project, key)
    return _answer(request, frame, finding, StepForm(finding=finding))


def _answer(
    request: HttpRequest, frame: ProjectPage, finding: Any, step: forms.Form, *, status: int = 200
) -> HttpResponse:
    context = FindingPage(
        page=frame,
        finding=finding,
        state=finding.state,
        life=[Step(one, _is_void(one)) for one in life_of(finding)],
        ahead=_ahead(finding.state),
        targets=_target_lines(finding),
        reworks=reworks_of_finding(finding),
        decided=decided_before(frame.project, SubjectKind.FINDING, finding.key),
        evidence=evidence_of_finding(finding),
        places=list(places_of(frame.project, PlacingKind.FINDING, finding.key)),
        lessons=lessons_of(finding, person(request)),
        step=step if frame.may_record else None,
        attach=EvidenceChoiceForm(project=frame.project) if frame.may_record else None,
    )
    return show(request, "findings/detail.html", context, status=status)


def _is_void(event: FindingEvent) -> bool:
    return event.measurement is not None and event.measurement.is_withdrawn


def _ahead(state: str) -> list[str]:
    """Return the steps of the usual life that still lie ahead."""
    usual = [str(one) for one in FindingState][: list(FindingState).index(FindingState.PROVEN) + 1]
    return usual[usual.index(state) + 1 :] if state in usual else []


def _target_lines(finding: Finding) -> list[TargetLine]:
    results = results_of(finding)
    return [TargetLine(target, _results(target, results)) for target in finding.targets.all()]


def _results(target: Target, results: list[CurrentResult]) -> list[tuple[CurrentResult, Strip]]:
    """Return the boards' results of one target, each with its strip."""
    return [
        (one, strip_for(one.found.issue, measurement=one.found, size="small"))
        for one in results
        if one.target_id == target.pk and one.found is not None and one.found.issue is not None
    ]


@signed_in
@require_POST
def finding_move(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Record the next step of a finding."""
    frame = project_page(request, slug, may="record")
    finding = finding_of(frame.project, key)
    form = StepForm(request.POST, finding=finding)
    if form.is_valid():
        try:
            event = move_finding(actor=actor_of(request), finding=finding, **form.cleaned_data)
        except (InvalidInputError, ConflictError) as error:
            add_problems(form, error)
        else:
            messages.success(request, f"{finding} is {event.state}.")
            return redirect("finding-detail", slug, key)
    return _answer(request, frame, finding, form, status=400)
