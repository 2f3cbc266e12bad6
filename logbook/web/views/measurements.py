"""The list of readings, the page of one, and its withdrawal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from logbook.bench.choices import Verdict
from logbook.bench.commands import withdraw_measurement
from logbook.bench.models import Measurement, TargetIssue
from logbook.bench.queries.budget import Budget, budget_of
from logbook.bench.queries.calibration import CalibrationFlag, calibration_flag
from logbook.bench.queries.lists import measurement_of, measurements_of
from logbook.bench.queries.yardstick import yardstick_for
from logbook.boards.queries import BoardConfiguration, configuration_at
from logbook.common.errors import ConflictError, DomainError
from logbook.core.quantities import format_quantity, unit_named
from logbook.projects.models import Project
from logbook.projects.queries import lineages
from logbook.web.access import ProjectPage, actor_of, project_page, signed_in
from logbook.web.calculations import BudgetLine, budget_line
from logbook.web.forms.bench import WithdrawForm
from logbook.web.forms.fields import add_problems
from logbook.web.paging import newest_first
from logbook.web.rendering import csv_answer, show
from logbook.web.strips import Strip, strip_for
from logbook.web.views.bench_now import asks_of

NO_VERDICT = "none"
FILTERS = ("board", "target", "verdict", "withdrawn", "session", "instrument")
MOST_EXPORTED = 100_000
MEASUREMENTS_HEADER = (
    "id", "board", "revision", "target", "issue", "point", "place", "outcome", "value", "typed", "unit",
    "repeats", "trials", "expanded_uncertainty", "coverage_factor", "verdict", "reason", "taken_at",
    "instrument", "bench_session", "firmware", "note", "key", "recorded_by", "via", "withdrawn_at",
    "withdrawn_because",
)  # fmt: skip


@dataclass(frozen=True)
class MeasurementListPage:
    """What the list of readings shows."""

    page: ProjectPage
    rows: Sequence[Measurement]
    after: str
    asked: Mapping[str, str]
    boards: list[str]
    targets: list[str]
    verdicts: list[str]
    is_filtered: bool


@dataclass(frozen=True)
class VerdictToday:
    """What the issue in force today says of the reading, where it is not the one it was judged by."""

    issue: TargetIssue
    asks: str
    verdict: str
    undecidable: bool
    counts: bool


@dataclass(frozen=True)
class MeasurementPage:
    """What the page of one reading shows."""

    page: ProjectPage
    measurement: Measurement
    strip: Strip | None
    asks: str
    calibration: CalibrationFlag | None
    today: VerdictToday | None
    form: WithdrawForm
    budget: Budget | None
    lines: tuple[BudgetLine, ...]
    standard: str
    scatter: dict[str, str]
    conditions: list[tuple[str, Any]]
    board_then: BoardConfiguration


@signed_in
def measurement_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the readings of a project, newest record first, a page at a time."""
    page = project_page(request, slug)
    asked = _asked(request)
    found = newest_first(_filtered(page.project, asked), request.GET.get("after", ""))
    context = MeasurementListPage(
        page=page,
        rows=found.rows,
        after=found.after,
        asked=asked,
        boards=list(page.project.boards.values_list("serial", flat=True)),
        targets=list(page.project.targets.values_list("key", flat=True)),
        verdicts=[*Verdict.values, NO_VERDICT],
        is_filtered=any(asked.values()),
    )
    return show(request, "measurements/list.html", context)


@signed_in
def measurements_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the readings as CSV, with the columns an import reads."""
    page = project_page(request, slug)
    rows = _filtered(page.project, _asked(request))[:MOST_EXPORTED]
    return csv_answer(f"{slug}-measurements.csv", MEASUREMENTS_HEADER, (_csv(row) for row in rows))


def _asked(request: HttpRequest) -> dict[str, str]:
    return {name: request.GET.get(name, "").replace("\0", "").strip() for name in FILTERS}


def _filtered(project: Project, asked: Mapping[str, str]) -> QuerySet[Measurement]:
    rows = measurements_of(project)
    if asked["board"]:
        rows = rows.filter(board__serial=asked["board"])
    if asked["target"]:
        rows = rows.filter(target__key=asked["target"])
    if asked["verdict"]:
        rows = rows.filter(verdict="" if asked["verdict"] == NO_VERDICT else asked["verdict"])
    if asked["withdrawn"]:
        rows = rows.filter(withdrawn_at__isnull=asked["withdrawn"] != "yes")
    if asked["instrument"]:
        rows = rows.filter(instrument__name=asked["instrument"])
    if asked["session"].isdecimal() and len(asked["session"]) < 19:
        rows = rows.filter(bench_session_id=int(asked["session"]))
    return rows


def _csv(row: Measurement) -> tuple[object, ...]:
    return (
        row.pk,
        row.board.serial,
        row.board.revision.label,
        row.target.key if row.target else "",
        row.issue.number if row.issue else "",
        row.point,
        row.place,
        row.outcome,
        row.value if row.outcome == "number" else row.text,
        row.text,
        row.unit,
        " ".join(row.repeats),
        row.trials,
        row.expanded_uncertainty,
        row.coverage_factor,
        row.verdict,
        row.reason,
        row.taken_at.isoformat(),
        row.instrument.name if row.instrument else "",
        row.bench_session_id,
        row.firmware,
        row.note,
        row.key,
        row.recorded_by.get_username() if row.recorded_by else "",
        row.via,
        row.withdrawn_at.isoformat() if row.withdrawn_at else "",
        row.withdrawn_because,
    )


@signed_in
def measurement_detail(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show everything recorded of one reading."""
    page = project_page(request, slug)
    return _detail(request, page, measurement_of(page.project, number), WithdrawForm())


@signed_in
def measurement_withdraw(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Withdraw a reading with a reason; on the bench, lead back to the check it belonged to."""
    page = project_page(request, slug, may="record")
    measurement = measurement_of(page.project, number)
    form = WithdrawForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return _detail(request, page, measurement, form, status=400 if form.errors else 200)
    try:
        withdraw_measurement(
            actor=actor_of(request), measurement=measurement, because=form.cleaned_data["because"]
        )
    except ConflictError:
        # Withdrawn twice, by a second press or by somebody else: the page shows who did it first.
        return redirect(_back(request, page.project, measurement))
    except DomainError as error:
        add_problems(form, error)
        return _detail(request, page, measurement, form, status=400)
    return redirect(_back(request, page.project, measurement))


def _back(request: HttpRequest, project: Project, measurement: Measurement) -> str:
    if request.POST.get("back") == "bench" and measurement.target is not None:
        address = reverse("bench-page", args=[project.slug, measurement.board.serial])
        query = request.GET.copy()
        query["target"], query["point"] = measurement.target.key, measurement.point
        query["last"] = str(measurement.pk)
        return f"{address}?{query.urlencode()}"
    return reverse("measurement-detail", args=[project.slug, measurement.pk])


def _detail(
    request: HttpRequest,
    page: ProjectPage,
    measurement: Measurement,
    form: WithdrawForm,
    *,
    status: int = 200,
) -> HttpResponse:
    issue = measurement.issue
    context = MeasurementPage(
        page=page,
        measurement=measurement,
        strip=strip_for(issue, measurement=measurement) if issue else None,
        asks=asks_of(issue) if issue else "",
        calibration=calibration_flag(measurement),
        today=_today(page.project, measurement),
        form=form,
        **_budget(measurement),
        conditions=sorted(measurement.conditions.items()),
        board_then=configuration_at(measurement.board, measurement.taken_at),
    )
    return show(request, "measurements/detail.html", context, status=status)


def _budget(measurement: Measurement) -> dict[str, Any]:
    """Return the budget of a reading and its numbers as text."""
    budget = budget_of(measurement)
    if budget is None:
        return {"budget": None, "lines": (), "standard": "", "scatter": {}}
    # Levels in dBm differ by decibels, not by a level of so many dBm.
    own = unit_named(measurement.unit)
    unit = unit_named("dB") if own.logarithmic else own
    u, scatter = budget.standard_uncertainty, budget.scatter
    return {
        "budget": budget,
        "lines": tuple(budget_line(line, unit) for line in budget.lines),
        "standard": "" if u is None else format_quantity(u, unit, digits=4),
        "scatter": {
            "mean": format_quantity(scatter.mean, own, uncertainty=scatter.standard_uncertainty or None),
            "s": format_quantity(scatter.standard_deviation, unit, digits=4),
            "u": format_quantity(scatter.standard_uncertainty, unit, digits=4),
        }
        if scatter
        else {},
    }


def _today(project: Project, measurement: Measurement) -> VerdictToday | None:
    """Return what the issue in force says, where it is another than the reading was judged by."""
    if measurement.target_id is None:
        return None
    yardstick = yardstick_for([measurement.target_id], lineages(project))
    revision_id = measurement.board.revision_id
    issue = yardstick.in_force(measurement.target_id, revision_id)
    if issue is None or issue.pk == measurement.issue_id:
        return None
    verdict, undecidable = yardstick.judged(measurement, revision_id)
    counts = yardstick.outdated_by(measurement, revision_id) is None
    return VerdictToday(issue, asks_of(issue), verdict, undecidable, counts)
