"""Taking a number of an analysis to a target."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.bench.commands import ReadingInput
from logbook.bench.commands.evidence import record_from_analysis
from logbook.bench.queries.evidence import targets_behind, targets_for_number
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.evidence.models import Analysis, Evidence
from logbook.evidence.queries import (
    FoundNumber,
    analysis_numbered,
    evidence_numbered,
    number_found,
    numbers_found,
)
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.forms.evidence import RecordForm
from logbook.web.forms.fields import add_problems, sent
from logbook.web.rendering import show


@dataclass(frozen=True)
class RecordPage:
    """What the form for a reading from a capture shows; without a number, the numbers to choose from."""

    page: ProjectPage
    evidence: Evidence
    analysis: Analysis
    number: FoundNumber | None
    numbers: Sequence[FoundNumber]
    form: RecordForm | None
    back: str


@signed_in
@require_http_methods(["GET", "HEAD", "POST"])
def evidence_record(request: HttpRequest, slug: str, number: int, analysis: int) -> HttpResponse:
    """Record a number of an analysis as a reading, with the capture as its evidence."""
    page = project_page(request, slug, may="record")
    evidence = evidence_numbered(page.project, number)
    found = analysis_numbered(evidence, analysis)
    name = request.POST.get("number", "") or request.GET.get("number", "")
    chosen = number_found(found, name) if name else None
    form = _form(request, page, evidence, chosen) if chosen is not None else None
    if request.method == "POST" and form is not None and form.is_valid():
        given: dict[str, Any] = dict(form.cleaned_data)
        item = ReadingInput(project=slug, value="", **{key: given[key] for key in given if key != "number"})
        try:
            recorded = record_from_analysis(actor=actor_of(request), analysis=found, number=name, item=item)
        except (InvalidInputError, ConflictError) as error:
            add_problems(form, error)
        else:
            assert recorded.measurement is not None  # noqa: S101 - a rejected one raises
            messages.success(request, "Recorded, with the capture as its evidence.")
            return redirect(reverse("measurement-detail", args=[slug, recorded.measurement.pk]))
    back = f"{reverse('evidence-detail', args=[slug, number])}?analysis={found.pk}"
    context = RecordPage(page, evidence, found, chosen, numbers_found(found), form, back)
    return show(request, "evidence/record.html", context, status=400 if form and form.errors else 200)


def _form(
    request: HttpRequest, page: ProjectPage, evidence: Evidence, number: FoundNumber
) -> RecordForm | None:
    """Return the form with the targets the number can be a reading of; none where there is no such target."""
    targets = targets_for_number(page.project, number)
    if not targets:
        return None
    behind = targets_behind(evidence) & {target.key for target in targets}
    initial = {
        "number": number.name,
        "target": request.GET.get("target", "") or (min(behind) if len(behind) == 1 else ""),
        "board": evidence.board.serial if evidence.board else "",
    }
    return RecordForm(sent(request), initial=initial, project=page.project, number=number, targets=targets)
