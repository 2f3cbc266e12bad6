"""The coverage of a revision: the state of every target, and what each board shows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.bench.choices import Outcome
from logbook.planning.queries import Coverage, CoverageRow, PointResult, coverage_of
from logbook.projects.models import Revision
from logbook.projects.queries import revisions_of, subsystem_keys, subsystem_needs, subsystems_of
from logbook.web.access import ProjectPage, signed_in
from logbook.web.coverage_rows import SubsystemGroup, groups_of, limits_text, value_text
from logbook.web.coverage_summary import StateCount, bar_text, state_counts
from logbook.web.forms.reviews import CoverageForm
from logbook.web.rendering import csv_answer, show
from logbook.web.reviewing import asked_of, boards_at_hand, day_of, is_wanted, opened_revision
from logbook.web.unchanged import kept_while_unchanged

COVERAGE_HEADER = (
    "target", "name", "subsystem", "limits", "state", "reason", "board", "board_verdict",
    "point", "verdict", "value", "expanded_uncertainty", "unit", "taken_at", "not_counted",
)  # fmt: skip


@dataclass(frozen=True)
class CoveragePage:
    """What the coverage page shows; without ``coverage`` the filter could not be read."""

    page: ProjectPage
    revision: Revision
    revisions: list[Revision]
    form: forms.Form
    coverage: Coverage | None
    counts: tuple[StateCount, ...]
    bar_text: str
    groups: tuple[SubsystemGroup, ...]
    shown: int


@require_safe
@signed_in
@kept_while_unchanged
def revision_detail(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Show the state of every target of a revision, by subsystem."""
    page, revision = opened_revision(request, slug, label)
    project = page.project
    subsystems = list(subsystems_of(project))
    form = CoverageForm(request.GET, subsystems=[one.key for one in subsystems])
    coverage = asked_of(form, lambda day: coverage_of(revision, as_of=day))
    rows = tuple(row for row in coverage.rows if is_wanted(form, row)) if coverage else ()
    boards = boards_at_hand(page, revision, coverage.as_of if coverage else None)
    context = CoveragePage(
        page=page,
        revision=revision,
        revisions=list(revisions_of(project)),
        form=form,
        coverage=coverage,
        counts=state_counts(coverage.counts) if coverage else (),
        bar_text=bar_text(coverage.counts) if coverage else "",
        groups=groups_of(project, subsystems, subsystem_needs(project), rows, boards),
        shown=len(rows),
    )
    return show(request, "revisions/coverage.html", context, status=200 if coverage else 400)


@require_safe
@signed_in
def coverage_csv(request: HttpRequest, slug: str, label: str) -> HttpResponse:
    """Return coverage with one line for every reading, and one for a target without any."""
    page, revision = opened_revision(request, slug, label)
    form = CoverageForm(request.GET, subsystems=subsystem_keys(page.project))
    coverage = coverage_of(revision, as_of=day_of(form))
    lines = (line for row in coverage.rows if is_wanted(form, row) for line in _coverage_lines(row))
    return csv_answer(f"{page.project.slug}-{revision.label}-coverage.csv", COVERAGE_HEADER, lines)


def _coverage_lines(row: CoverageRow) -> Iterator[tuple[object, ...]]:
    asked = (
        row.target.key,
        row.target.name,
        row.target.subsystem.key,
        limits_text(row),
        row.state,
        row.reason,
    )
    if not row.boards:
        yield (*asked, *[""] * (len(COVERAGE_HEADER) - len(asked)))
    for board in row.boards:
        for point in board.points:
            yield (*asked, board.board, board.verdict, point.point, point.verdict, *_reading_cells(point))


def _reading_cells(point: PointResult) -> tuple[object, ...]:
    reading = point.measurement
    if reading is None:
        return ("", "", "", "", point.not_counted)
    value = reading.value if reading.outcome == Outcome.NUMBER else value_text(point)
    return (
        value,
        reading.expanded_uncertainty,
        reading.unit,
        reading.taken_at.isoformat(),
        point.not_counted,
    )
