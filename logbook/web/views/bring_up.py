"""The bring-up plan of a revision: a checklist to print and to follow at the bench."""

from __future__ import annotations

from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.planning.queries.bring_up import BringUpLine, BringUpPlan, bring_up_plan_of
from logbook.projects.models import Revision
from logbook.projects.queries import revisions_of
from logbook.web.access import ProjectPage, signed_in
from logbook.web.cautions import FIRST_POWER, Caution
from logbook.web.forms.orders import ReadinessForm
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import asked_of, day_of, opened_revision

HEADER = (
    "stage", "place", "target", "name", "state", "reason", "cause", "always", "changed_by", "limits",
    "probe_at", "minutes", "waiting_minutes", "not_yet",
)  # fmt: skip


@dataclass(frozen=True)
class BringUpPage:
    """What the bring-up plan shows; without ``answer`` the filter could not be read."""

    page: ProjectPage
    revision: Revision
    revisions: list[Revision]
    form: forms.Form
    answer: BringUpPlan | None
    count: int
    hands_on: str
    waiting: str
    first_power: Caution | None
    has_targets: bool


@require_safe
@signed_in
def bring_up_plan(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show what to do on the first board of a revision, stage by stage."""
    page, revision = opened_revision(request, slug, label)
    form = ReadinessForm(request.GET)
    answer = asked_of(form, lambda day: bring_up_plan_of(revision, as_of=day))
    context = BringUpPage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(page.project)),
        form=form,
        answer=answer,
        count=sum(len(stage.lines) for stage in answer.stages) if answer else 0,
        hands_on=duration_text(answer.minutes if answer else 0),
        waiting=duration_text(answer.waiting_minutes if answer else 0),
        first_power=None if _warns_already(answer) else FIRST_POWER,
        has_targets=page.project.targets.exists(),
    )
    return show(request, "revisions/bring_up.html", context, status=200 if answer else 400)


@require_safe
@signed_in
def bring_up_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return the plan, one target a line, in the order to do them."""
    page, revision = opened_revision(request, slug, label)
    plan = bring_up_plan_of(revision, as_of=day_of(ReadinessForm(request.GET)))
    steps = [(stage.name, line) for stage in plan.stages for line in stage.lines]
    lines = (_csv_line(place, stage, line) for place, (stage, line) in enumerate(steps, start=1))
    return csv_answer(f"{page.project.slug}-{revision.label}-bring-up.csv", HEADER, lines)


def duration_text(minutes: int) -> str:
    """Return minutes as people plan them."""
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if hours else f"{rest} min"


def _warns_already(plan: BringUpPlan | None) -> bool:
    """Say whether a stage shows the caution of first power itself."""
    return plan is not None and any(FIRST_POWER.key in stage.cautions for stage in plan.stages)


def _csv_line(place: int, stage: str, line: BringUpLine) -> tuple[object, ...]:
    return (
        stage, place, line.target.key, line.target.name, line.state, line.reason, line.cause,
        "yes" if line.always else "no", " ".join(line.changed_by),
        line.issue.limits_text or line.issue.get_kind_display(), line.target.probe_at, line.minutes,
        line.waiting_minutes, line.not_yet,
    )  # fmt: skip
