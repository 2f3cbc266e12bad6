"""Looking back: what is on record for somebody who returns after a long time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.http import HttpRequest, HttpResponse

from logbook.bench.models import BenchSession, Measurement
from logbook.bench.queries.in_hand import InHand, boards_on_bench, in_hand_of, last_read_on
from logbook.bench.queries.lists import bench_sessions_of, measurements_of
from logbook.core.state import State
from logbook.planning.queries import Coverage, CoverageRow, coverage_of
from logbook.projects.models import Project, Revision
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.rendering import show

# In the order a returning designer asks: never tried, could not be tried, only looked at, out of date.
NEVER_VERIFIED = (State.NEVER_TRIED, State.BLOCKED, State.SEEN_WORKING, State.STALE)
RECENT = 12


@dataclass(frozen=True)
class StateGroup:
    """The targets in one state."""

    state: str
    rows: list[CoverageRow]


@dataclass(frozen=True)
class BoardPlace:
    """One board, where it is and when it was last read."""

    hand: InHand
    last_read: datetime | None


@dataclass(frozen=True)
class LookBackPage:
    """What the page shows."""

    page: ProjectPage
    revision: Revision | None
    coverage: Coverage | None
    never_verified: list[StateGroup]
    failing: list[CoverageRow]
    boards: list[BoardPlace]
    last_session: BenchSession | None
    recent: Sequence[Measurement]


@signed_in
def look_back(request: HttpRequest, slug: str) -> HttpResponse:
    """Show what was never verified, where the boards are, and where the last sitting stopped."""
    page = project_page(request, slug, door="look-back")
    project = page.project
    revision = project.revisions.order_by("-id").first()
    coverage = coverage_of(revision) if revision else None
    rows = coverage.rows if coverage else ()
    context = LookBackPage(
        page=replace(page, revision=revision),
        revision=revision,
        coverage=coverage,
        never_verified=_groups(rows),
        failing=[row for row in rows if row.state == State.FAILING],
        boards=_boards(project),
        last_session=bench_sessions_of(project).first(),
        recent=list(measurements_of(project).filter(withdrawn_at__isnull=True)[:RECENT]),
    )
    return show(request, "bench/look_back.html", context)


def _groups(rows: Sequence[CoverageRow]) -> list[StateGroup]:
    groups = [StateGroup(str(state), [row for row in rows if row.state == state]) for state in NEVER_VERIFIED]
    return [group for group in groups if group.rows]


def _boards(project: Project) -> list[BoardPlace]:
    last = last_read_on(project)
    return [
        BoardPlace(hand, last.get(hand.board.pk)) for hand in in_hand_of(project, boards_on_bench(project))
    ]
