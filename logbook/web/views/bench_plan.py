"""The next bench hour of a revision: a checklist to print or to follow at the bench."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.planning.queries import BenchPlanLine, RevisionBenchPlan, bench_plan_of
from logbook.projects.models import Revision
from logbook.projects.queries import revisions_of
from logbook.web.access import ProjectPage, signed_in
from logbook.web.bench_plan_rows import (
    LeftOutRow,
    PlanCaution,
    PlanRow,
    hours_text,
    left_out_rows,
    plan_cautions,
    plan_rows,
)
from logbook.web.forms.bench_plan import BenchPlanForm
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import opened_revision

PLAN_HEADER = (
    "place", "target", "name", "board", "point", "limits", "minutes", "waiting_minutes", "buys_h", "reason",
)  # fmt: skip


@dataclass(frozen=True)
class BenchPlanPage:
    """What the bench plan shows; without ``plan`` the question could not be read."""

    page: ProjectPage
    revision: Revision
    revisions: list[Revision]
    form: BenchPlanForm
    plan: RevisionBenchPlan | None
    buys: str
    rows: tuple[PlanRow, ...]
    left_out: tuple[LeftOutRow, ...]
    cautions: tuple[PlanCaution, ...]
    has_boards: bool
    has_targets: bool


@require_safe
@signed_in
def bench_plan(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show which checks buy most in the time there is, in the order to do them."""
    page, revision = opened_revision(request, slug, label)
    boards = list(revision.boards.order_by("serial"))
    form = BenchPlanForm(request.GET, boards=boards)
    plan = _plan(revision, form) if form.is_valid() else None
    context = BenchPlanPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(page.project)),
        form=form,
        plan=plan,
        buys=hours_text(plan.buys) if plan else "",
        rows=plan_rows(plan) if plan else (),
        left_out=left_out_rows(plan.left_out) if plan else (),
        cautions=plan_cautions(plan) if plan else (),
        has_boards=bool(boards),
        has_targets=page.project.targets.exists(),
    )
    return show(request, "revisions/bench_plan.html", context, status=200 if plan else 400)


@require_safe
@signed_in
def bench_plan_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return the plan, one check a line, in the order to do them."""
    page, revision = opened_revision(request, slug, label)
    form = BenchPlanForm(request.GET, boards=list(revision.boards.order_by("serial")))
    if not form.is_valid():
        problems = [FieldProblem(name, str(messages[0])) for name, messages in form.errors.items()]
        raise InvalidInputError("the question cannot be read", problems=problems)
    lines = (_csv_line(place, line) for place, line in enumerate(_plan(revision, form).lines, start=1))
    return csv_answer(f"{page.project.slug}-{revision.label}-bench-plan.csv", PLAN_HEADER, lines)


def _plan(revision: Revision, form: BenchPlanForm) -> RevisionBenchPlan:
    asked = form.cleaned_data
    return bench_plan_of(revision, minutes=asked["minutes"], serials=asked["board"])


def _csv_line(place: int, line: BenchPlanLine) -> tuple[object, ...]:
    return (
        place, line.target.key, line.target.name, line.board.serial, line.point,
        line.issue.limits_text or line.issue.get_kind_display(), line.minutes, line.waiting_minutes,
        f"{line.buys:.6g}", line.reason,
    )  # fmt: skip
