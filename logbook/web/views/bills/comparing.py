"""Two bills of materials side by side: what was added, removed, changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_safe

from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.core.parts_list import Difference, Kind
from logbook.projects.models import Revision
from logbook.projects.queries import revision_named, revisions_of
from logbook.projects.queries.bills import BillComparison, compared_bills
from logbook.web.access import ProjectPage, signed_in
from logbook.web.forms.bills import CompareForm
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import opened_revision
from logbook.web.views.bills.page import subsystem_asked

HEADER = ("designator", "difference", "before", "after", "subsystem")


@dataclass(frozen=True)
class ShownDifference:
    """One difference, and the subsystem the part belongs to; empty where no rule says so."""

    difference: Difference
    subsystem: str


@dataclass(frozen=True)
class BillComparePage:
    """What the comparison shows; ``comparison`` is missing while one of the bills is."""

    page: ProjectPage
    revision: Revision
    revisions: list[Revision]
    form: forms.Form
    comparison: BillComparison | None
    rows: Sequence[ShownDifference]
    counts: Sequence[tuple[str, int]]


@require_safe
@signed_in
def bill_compare(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show in what the bill of a revision differs from that of another, its parent where none is named."""
    page, revision = opened_revision(request, slug, label)
    revisions = list(revisions_of(page.project))
    form = _form(request, revision, revisions)
    comparison = asked_comparison(form, revision)
    rows = shown_differences(comparison, form) if comparison else []
    found = comparison.differences if comparison else ()
    context = BillComparePage(
        page=page,
        revision=revision,
        revisions=revisions,
        form=form,
        comparison=comparison,
        rows=rows,
        counts=[(str(kind), sum(one.kind == kind for one in found)) for kind in Kind],
    )
    return show(request, "bills/compare.html", context, status=400 if form.errors else 200)


@require_safe
@signed_in
def bill_compare_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return the differences, one a line, filtered as the page."""
    page, revision = opened_revision(request, slug, label)
    form = _form(request, revision, list(revisions_of(page.project)))
    if not form.is_valid():
        problems = [FieldProblem(name, str(messages[0])) for name, messages in form.errors.items()]
        raise InvalidInputError("the question cannot be read", problems=problems)
    comparison = compared_bills(revision, revision_named(page.project, form.cleaned_data["with"]))
    rows = [_csv_line(one) for one in shown_differences(comparison, form)]
    name = f"{page.project.slug}-{form.cleaned_data['with']}-{revision.label}-bill.csv"
    return csv_answer(name, HEADER, rows)


def _form(request: HttpRequest, revision: Revision, revisions: Sequence[Revision]) -> CompareForm:
    others = [one for one in revisions if one.pk != revision.pk]
    given: QueryDict = request.GET.copy()
    if "with" not in given and others:
        given["with"] = (revision.parent or others[-1]).label
    keys = list(revision.project.subsystems.values_list("key", flat=True))
    return CompareForm(given, subsystems=keys, others=others)


def asked_comparison(form: forms.Form, revision: Revision) -> BillComparison | None:
    """Return the comparison asked for; none where a bill is missing, which the page says."""
    if not form.is_valid():
        return None
    other = revision_named(revision.project, form.cleaned_data["with"])
    if not (revision.bills_of_materials.exists() and other.bills_of_materials.exists()):
        return None
    return compared_bills(revision, other)


def shown_differences(comparison: BillComparison, form: forms.Form) -> list[ShownDifference]:
    """Return the differences the filter lets through."""
    wanted = form.cleaned_data
    rows = [
        ShownDifference(one, comparison.subsystems.get(one.designator, ""))
        for one in comparison.differences
        if not wanted["kind"] or one.kind == wanted["kind"]
    ]
    return [one for one in rows if not wanted["subsystem"] or one.subsystem == subsystem_asked(form)]


def _csv_line(row: ShownDifference) -> tuple[object, ...]:
    one = row.difference
    return (str(one.designator), str(one.kind), one.before, one.after, row.subsystem)
