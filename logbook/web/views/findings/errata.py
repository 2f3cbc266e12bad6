"""The erratum sheet of a revision: what is known to be wrong with it, ready to print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.common import clock
from logbook.findings.models import Finding, FindingEvent
from logbook.findings.queries import decisions_of, errata_of, suspected_count
from logbook.projects.models import Revision
from logbook.web.access import ProjectPage, signed_in
from logbook.web.rendering import pdf_answer, show
from logbook.web.reviewing import opened_revision


@dataclass(frozen=True)
class Erratum:
    """A confirmed finding with what was decided about it, and the reading that proves the fix."""

    finding: Finding
    state: str
    plan: FindingEvent | None
    proof: FindingEvent | None


@dataclass(frozen=True)
class ErratumSheetPage:
    """What an erratum sheet shows."""

    page: ProjectPage
    revision: Revision
    errata: Sequence[Erratum]
    suspected: int
    printed_at: datetime


TEMPLATE = "findings/errata.html"


@require_safe
@signed_in
def erratum_sheet(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show the erratum sheet of a revision, worst first."""
    return show(request, TEMPLATE, _sheet(*opened_revision(request, slug, label)))


@require_safe
@signed_in
def erratum_pdf(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return the erratum sheet as a PDF file."""
    page, revision = opened_revision(request, slug, label)
    name = f"{page.project.slug}-{revision.label}-errata.pdf"
    return pdf_answer(request, TEMPLATE, _sheet(page, revision), filename=name)


def _sheet(page: ProjectPage, revision: Revision) -> ErratumSheetPage:
    rows = list(errata_of(revision))
    steps = decisions_of(rows)
    errata = [Erratum(row, row.state, steps.plans.get(row.pk), steps.proofs.get(row.pk)) for row in rows]
    return ErratumSheetPage(page, revision, errata, suspected_count(revision), clock.now())
