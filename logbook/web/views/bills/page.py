"""The bill of materials of a revision, part by part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.core.parts_list import Designator, group_designators, read_designator
from logbook.projects.models import BillLine, BillOfMaterials, Project, Revision
from logbook.projects.queries import revisions_of
from logbook.projects.queries.bills import bill_lines_of, bills_of, subsystems_of_designators
from logbook.web.access import ProjectPage, signed_in
from logbook.web.forms.bills import NO_SUBSYSTEM, BillFilterForm, shortened
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import opened_revision

SHOWN = 300
SHOWN_REMARKS = 50
HEADER = (
    "designator", "value", "footprint", "maker", "part_number", "description", "fitted", "subsystem",
)  # fmt: skip


@dataclass(frozen=True)
class ShownPart:
    """One part, and the subsystem it belongs to; empty where no rule says so."""

    line: BillLine
    subsystem: str


@dataclass(frozen=True)
class BillPage:
    """What the page of a bill shows; ``bill`` is missing before the first import."""

    page: ProjectPage
    revision: Revision
    revisions: list[Revision]
    bill: BillOfMaterials | None
    stands: bool
    imports: list[BillOfMaterials]
    form: forms.Form
    parts: Sequence[ShownPart]
    found: int
    after: str
    not_fitted: int
    unassigned: str
    unassigned_count: int
    shown_remarks: int


@require_safe
@signed_in
def bill_detail(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show the parts of the bill that stands, or of an earlier import."""
    page, revision = opened_revision(request, slug, label)
    imports = list(bills_of(revision))
    bill = _asked(request, imports)
    parts = _parts(page.project, bill)
    form = _form(request, page.project)
    wanted = [one for one in parts if form.is_valid() and is_wanted(form, one)]
    after = request.GET.get("after", "")
    rest = [one for one in wanted if one.line.place > after]
    free = [read_designator(one.line.designator) for one in parts if not one.subsystem]
    context = BillPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(page.project)),
        bill=bill,
        stands=bill is not None and bill == imports[0],
        imports=imports,
        form=form,
        parts=rest[:SHOWN],
        found=len(wanted),
        after=rest[SHOWN - 1].line.place if len(rest) > SHOWN else "",
        not_fitted=sum(not one.line.is_fitted for one in parts),
        unassigned=shortened(group_designators(free), 500),
        unassigned_count=len(free),
        shown_remarks=SHOWN_REMARKS,
    )
    return show(request, "bills/detail.html", context, status=200 if form.is_valid() else 400)


@require_safe
@signed_in
def bill_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return the parts, one a line, filtered as the page."""
    page, revision = opened_revision(request, slug, label)
    form = _form(request, page.project)
    if not form.is_valid():
        problems = [FieldProblem(name, str(messages[0])) for name, messages in form.errors.items()]
        raise InvalidInputError("the filter cannot be read", problems=problems)
    parts = _parts(page.project, _asked(request, list(bills_of(revision))))
    lines = [_csv_line(one) for one in parts if is_wanted(form, one)]
    return csv_answer(f"{page.project.slug}-{revision.label}-bill.csv", HEADER, lines)


def _asked(request: HttpRequest, imports: Sequence[BillOfMaterials]) -> BillOfMaterials | None:
    number = request.GET.get("bill", "")
    return next((one for one in imports if not number or str(one.pk) == number), None)


def _form(request: HttpRequest, project: Project) -> BillFilterForm:
    return BillFilterForm(request.GET, subsystems=list(project.subsystems.values_list("key", flat=True)))


def _parts(project: Project, bill: BillOfMaterials | None) -> list[ShownPart]:
    if bill is None:
        return []
    lines = {read_designator(line.designator): line for line in bill_lines_of(bill)}
    owned: Mapping[Designator, str] = subsystems_of_designators(project, lines)
    return [ShownPart(line, owned.get(designator, "")) for designator, line in lines.items()]


def is_wanted(form: forms.Form, part: ShownPart) -> bool:
    """Say whether the filter lets a part through."""
    wanted = form.cleaned_data
    line = part.line
    if wanted["subsystem"] and part.subsystem != subsystem_asked(form):
        return False
    if wanted["fitted"] and line.is_fitted != (wanted["fitted"] == "fitted"):
        return False
    texts = (line.designator, line.value, line.footprint, line.maker, line.part_number, line.description)
    return not wanted["text"] or any(wanted["text"].casefold() in text.casefold() for text in texts)


def _csv_line(part: ShownPart) -> tuple[object, ...]:
    line = part.line
    return (
        line.designator, line.value, line.footprint, line.maker, line.part_number, line.description,
        "yes" if line.is_fitted else "no", part.subsystem,
    )  # fmt: skip


def subsystem_asked(form: forms.Form) -> str:
    """Return the key of the subsystem asked for; empty for parts that belong to none."""
    key: str = form.cleaned_data["subsystem"]
    return "" if key == NO_SUBSYSTEM else key
