"""The list of targets, and the page of one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse

from logbook.bench.choices import Outcome, Severity
from logbook.bench.models import CurrentResult, Measurement, Target, TargetIssue
from logbook.bench.queries.basis import LimitsBasis, basis_of
from logbook.bench.queries.in_hand import current_results_of
from logbook.bench.queries.lists import measurements_of_target, target_of, targets_of
from logbook.core.risk import SubjectKind
from logbook.evidence.choices import PlacingKind
from logbook.evidence.models import Placing
from logbook.evidence.queries.pictures import places_of
from logbook.findings.models import Finding
from logbook.findings.queries import findings_of_target
from logbook.planning.queries import samples_of
from logbook.planning.queries.decided_before import DecidedBefore, decided_before
from logbook.projects.models import Project, Revision, Subsystem
from logbook.projects.queries import revisions_of
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.rendering import csv_answer, show
from logbook.web.sample_plot import SamplePlot, sample_plot
from logbook.web.sample_rows import SampleRow, sample_row
from logbook.web.strips import Strip, strip_for
from logbook.web.unchanged import kept_while_unchanged
from logbook.web.views.bench_now import asks_of

SHOWN_READINGS = 100
TARGETS_HEADER = (
    "target", "name", "subsystem", "severity", "kind", "limits", "points", "boards_needed", "issue",
    "needs", "minutes", "waiting_minutes", "probe_at", "probe_against",
)  # fmt: skip


@dataclass(frozen=True)
class ListedTarget:
    """One row of the list."""

    target: Target
    issue: TargetIssue
    asks: str
    needs: tuple[str, ...]


@dataclass(frozen=True)
class TargetListPage:
    """What the list of targets shows."""

    page: ProjectPage
    rows: list[ListedTarget]
    subsystems: list[Subsystem]
    severities: list[tuple[str, str]]
    subsystem: str
    severity: str
    text: str
    is_filtered: bool


@dataclass(frozen=True)
class ShownIssue:
    """One issue of the target, and what it changed."""

    issue: TargetIssue
    asks: str
    points: str
    basis: LimitsBasis | None = None


@dataclass(frozen=True)
class ShownResult:
    """What one board shows at one point, as found and as designed."""

    result: CurrentResult
    strip: Strip
    has_changed_verdict: bool


@dataclass(frozen=True)
class OtherBoard:
    """A board's tick on the strip."""

    serial: str
    text: str
    unit: str
    value_base: float | None


@dataclass(frozen=True)
class TargetPage:
    """What the page of a target shows."""

    page: ProjectPage
    target: Target
    current: ShownIssue
    issues: list[ShownIssue]
    found_strip: Strip
    designed_strip: Strip | None
    results: list[ShownResult]
    readings: Sequence[Measurement]
    has_more: bool
    revisions: Sequence[Revision]
    needs: list[Target]
    needed_by: list[Target]
    findings: Sequence[Finding]
    decided: Sequence[DecidedBefore]
    places: Sequence[Placing]
    plot: SamplePlot | None
    samples: list[SampleRow]
    has_chance: bool


@signed_in
@kept_while_unchanged
def target_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the targets of a project."""
    page = project_page(request, slug)
    asked = _asked(request)
    context = TargetListPage(
        page=page,
        rows=_rows(page.project, **asked),
        subsystems=list(page.project.subsystems.all()),
        severities=list(Severity.choices),
        **asked,
        is_filtered=any(asked.values()),
    )
    return show(request, "targets/list.html", context)


@signed_in
def targets_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the list of targets as CSV."""
    page = project_page(request, slug)
    asked = _asked(request)
    return csv_answer(
        f"{slug}-targets.csv", TARGETS_HEADER, [_csv(row) for row in _rows(page.project, **asked)]
    )


def _asked(request: HttpRequest) -> dict[str, str]:
    names = ("subsystem", "severity", "text")
    return {name: request.GET.get(name, "").replace("\0", "").strip() for name in names}


def _rows(project: Project, *, subsystem: str, severity: str, text: str) -> list[ListedTarget]:
    return [_listed(target) for target in _filtered(targets_of(project), subsystem, severity, text)]


def _filtered(targets: QuerySet[Target], subsystem: str, severity: str, text: str) -> QuerySet[Target]:
    if subsystem:
        targets = targets.filter(subsystem__key=subsystem)
    if severity:
        targets = targets.filter(severity=severity)
    if text:
        targets = targets.filter(Q(key__icontains=text) | Q(name__icontains=text) | Q(note__icontains=text))
    return targets


def _listed(target: Target) -> ListedTarget:
    issue = list(target.issues.all())[-1]
    needs = tuple(sorted(one.needs.key for one in target.prerequisites.all()))
    return ListedTarget(target, issue, asks_of(issue), needs)


def _csv(row: ListedTarget) -> tuple[object, ...]:
    target, issue = row.target, row.issue
    return (
        target.key,
        target.name,
        target.subsystem.key,
        target.severity,
        issue.kind,
        row.asks,
        ", ".join(issue.points),
        issue.boards_needed,
        issue.number,
        ", ".join(row.needs),
        target.minutes,
        target.waiting_minutes,
        target.probe_at,
        target.probe_against,
    )


@signed_in
def target_detail(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Show what a target asks and has asked, and what every board shows."""
    page = project_page(request, slug)
    target = target_of(page.project, key)
    issues = [_shown_issue(issue) for issue in target.issues.all()]
    current = replace(issues[-1], basis=basis_of(issues[-1].issue))
    results = current_results_of(target)
    readings = list(measurements_of_target(target)[: SHOWN_READINGS + 1])
    samples = samples_of(target)
    findings = list(findings_of_target(target))
    by_finding = decided_before(page.project, SubjectKind.FINDING, *(one.key for one in findings))
    context = TargetPage(
        page=page,
        target=target,
        current=current,
        issues=issues[::-1],
        found_strip=strip_for(current.issue, sisters=[_tick(one, one.found) for one in results]),
        designed_strip=_designed_strip(current.issue, results),
        results=[_shown_result(current.issue, one) for one in results],
        readings=readings[:SHOWN_READINGS],
        has_more=len(readings) > SHOWN_READINGS,
        revisions=list(revisions_of(page.project)),
        needs=[one.needs for one in target.prerequisites.all()],
        needed_by=[one.target for one in target.needed_by.select_related("target").order_by("target__key")],
        findings=findings,
        decided=[*decided_before(page.project, SubjectKind.TARGET, target.key), *by_finding],
        places=list(places_of(page.project, PlacingKind.TEST_POINT, target.key)),
        plot=sample_plot(samples),
        samples=[sample_row(one) for one in samples],
        has_chance=any(one.predictive for one in samples),
    )
    return show(request, "targets/detail.html", context)


def _shown_issue(issue: TargetIssue) -> ShownIssue:
    return ShownIssue(issue, asks_of(issue), ", ".join(point for point in issue.points if point))


def _shown_result(issue: TargetIssue, result: CurrentResult) -> ShownResult:
    strip = strip_for(issue, measurement=result.found, size="small")
    return ShownResult(result, strip, result.found.verdict != result.found_verdict)


def _designed_strip(issue: TargetIssue, results: Sequence[CurrentResult]) -> Strip | None:
    """Return the strip of what counts as designed; none where that is all there is."""
    if not any(one.not_counted for one in results):
        return None
    return strip_for(issue, sisters=[_tick(one, one.designed) for one in results if one.designed])


def _tick(result: CurrentResult, reading: Measurement) -> OtherBoard:
    name = f"{result.board.serial} {result.point}".rstrip()
    said = reading.value if reading.outcome == Outcome.NUMBER else reading.text
    return OtherBoard(name, said, reading.unit, reading.value_base)
