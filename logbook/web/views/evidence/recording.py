"""Taking a number of an analysis to a target."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.bench.commands import ReadingInput
from logbook.bench.commands.evidence import record_from_analysis
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.queries import analysis_numbered, evidence_numbered, numbers_found
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.capture_picture import shown_number
from logbook.web.forms.evidence import RecordForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.rendering import show


@dataclass(frozen=True)
class RecordPage:
    """What the form for a reading from a capture shows."""

    page: ProjectPage
    evidence: Evidence
    analysis: Analysis
    form: RecordForm
    has_targets: bool
    back: str


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def evidence_record(request: HttpRequest, slug: str, number: int, analysis: int) -> HttpResponse:
    """Record a number of an analysis as a reading, with the capture as its evidence."""
    page = project_page(request, slug, may="record")
    evidence = evidence_numbered(page.project, number)
    found = analysis_numbered(evidence, analysis)
    form = _form(request, page, evidence, found)
    if request.method == "POST" and form.is_valid():
        given: dict[str, Any] = dict(form.cleaned_data)
        name = given.pop("number")
        item = ReadingInput(project=slug, value="", **given)
        try:
            recorded = record_from_analysis(actor=actor_of(request), analysis=found, number=name, item=item)
        except (InvalidInputError, ConflictError) as error:
            add_problems(form, error)
        else:
            assert recorded.measurement is not None  # noqa: S101 - a rejected one raises
            messages.success(request, "Recorded, with the capture as its evidence.")
            return redirect(reverse("measurement-detail", args=[slug, recorded.measurement.pk]))
    back = f"{reverse('evidence-detail', args=[slug, number])}?analysis={found.pk}"
    has_targets = bool(form.fields["target"].choices)  # type: ignore[attr-defined]
    context = RecordPage(page, evidence, found, form, has_targets, back)
    return show(request, "evidence/record.html", context, status=400 if form.errors else 200)


def _form(request: HttpRequest, page: ProjectPage, evidence: Evidence, analysis: Analysis) -> RecordForm:
    numbers = numbers_found(analysis)
    initial = {
        "number": request.GET.get("number", ""),
        "target": request.GET.get("target", ""),
        "board": evidence.board.serial if evidence.board else "",
    }
    shown = {one.name: shown_number(one.value, one.unit, 6) for one in numbers}
    return RecordForm(sent(request), initial=initial, project=page.project, numbers=numbers, shown=shown)
