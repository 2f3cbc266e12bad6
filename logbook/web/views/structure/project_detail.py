"""A project on one page: what it is for, the three doors, and what it is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from logbook.bench.models import BenchSession, Measurement
from logbook.bench.queries.lists import bench_sessions_of, measurements_of
from logbook.bench.queries.standing import Standing, standing_of
from logbook.boards.queries import boards_of
from logbook.core.state import State
from logbook.planning.queries import coverage_of
from logbook.projects.models import Option, ProjectStateEvent, Revision, Subsystem
from logbook.projects.queries import (
    Relatives,
    options_of,
    relatives_of,
    revisions_of,
    state_events_of,
    subsystems_of,
)
from logbook.web.access import ProjectPage, person, project_page, signed_in
from logbook.web.coverage_rows import CLOSED
from logbook.web.rendering import show
from logbook.web.views.structure.board_rows import BoardRow, board_rows

SHOWN_BOARDS, SHOWN_READINGS, SHOWN_SESSIONS = 30, 8, 5


@dataclass(frozen=True)
class Doors:
    """What each door holds right now, in one line."""

    bench: str
    next_spin: str
    look_back: str


@dataclass(frozen=True)
class ProjectDetailPage:
    """What a project's page shows."""

    page: ProjectPage
    tags: Sequence[str]
    relatives: Relatives
    state_event: ProjectStateEvent | None
    doors: Doors
    revisions: Sequence[Revision]
    subsystems: Sequence[Subsystem]
    options: Sequence[Option]
    targets: int
    boards: Sequence[BoardRow]
    more_boards: bool
    sessions: Sequence[BenchSession]
    readings: Sequence[Measurement]


@signed_in
@require_safe
def project_detail(request: HttpRequest, slug: str) -> HttpResponse:
    """Show a project."""
    frame = project_page(request, slug)
    project = frame.project
    revisions = list(revisions_of(project).reverse())
    newest = revisions[0] if revisions else None
    boards = list(boards_of(project)[: SHOWN_BOARDS + 1])
    standing = standing_of(project, newest)
    inherits = newest is not None and newest.parent_id is not None and standing.never_read > 0
    counts = coverage_of(newest).counts if newest and inherits else None
    context = ProjectDetailPage(
        page=frame,
        tags=[tag.name for tag in project.characteristics.all()],
        relatives=relatives_of(project, person(request)),
        state_event=state_events_of(project).first(),
        doors=doors_of(standing, newest, has_boards=bool(boards), counts=counts),
        revisions=revisions,
        subsystems=list(subsystems_of(project)),
        options=list(options_of(project)),
        targets=standing.targets,
        boards=board_rows(boards[:SHOWN_BOARDS]),
        more_boards=len(boards) > SHOWN_BOARDS,
        sessions=list(bench_sessions_of(project)[:SHOWN_SESSIONS]),
        readings=list(measurements_of(project)[:SHOWN_READINGS]),
    )
    return show(request, "projects/detail.html", context)


def doors_of(
    standing: Standing, newest: Revision | None, *, has_boards: bool, counts: Mapping[str, int] | None = None
) -> Doors:
    """Say in one line each what is behind the doors; ``counts`` are those of a revision that inherits."""
    next_spin = _inherited(counts, newest) if counts else _next_spin(standing, newest)
    return Doors(_bench(standing, has_boards=has_boards), next_spin, _look_back(standing))


def _bench(standing: Standing, *, has_boards: bool) -> str:
    if not has_boards:
        return "No board yet: add the first one"
    if standing.open_sessions:
        return f"{_some(standing.open_sessions, 'bench session')} still open"
    return "Pick a board and go on"


def _next_spin(standing: Standing, newest: Revision | None) -> str:
    if newest is None:
        return "No revision yet"
    if not standing.targets:
        return f"Revision {newest}: no targets yet"
    failing = f"{standing.failing} failing, " if standing.failing else ""
    open_ones = f"{standing.never_read} of {_some(standing.targets, 'target')} not read as designed"
    return f"Revision {newest}: {failing}{open_ones}"


def _inherited(counts: Mapping[str, int], newest: Revision | None) -> str:
    """Say how the targets stand where some rest on an ancestor's readings."""
    closed = sum(count for state, count in counts.items() if state in CLOSED)
    parts = [f"{counts[state]} {state}" for state in (State.FAILING, State.CARRIED_OVER) if counts.get(state)]
    total = sum(counts.values())
    parts.append(f"{total - closed} of {_some(total, 'target')} open")
    return f"Revision {newest}: {', '.join(parts)}"


def _look_back(standing: Standing) -> str:
    if standing.last_taken_at is None:
        return "Nothing has been read yet"
    return f"Last reading on {timezone.localtime(standing.last_taken_at):%Y-%m-%d}"


def _some(count: int, thing: str) -> str:
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"
