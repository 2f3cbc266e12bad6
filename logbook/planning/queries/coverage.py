"""Coverage: the state of every target on a revision, with what each board shows."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from logbook.bench.models import Target, TargetIssue
from logbook.common.errors import NotFoundError
from logbook.core.state import BoardResult as BoardWord
from logbook.core.state import StateOfTarget
from logbook.planning.queries.days import entered_later
from logbook.planning.queries.paths import PathStep, own_step, path_of
from logbook.planning.queries.standing import Standing, standing_of
from logbook.planning.queries.waived import states_with_waived
from logbook.planning.translate import CellResult, ShownReading
from logbook.projects.models import Revision


class PointResult(NamedTuple):
    """What one board shows at one point: the reading that counts, or why none does."""

    point: str
    verdict: str
    measurement: ShownReading | None
    not_counted: str
    undecidable: bool


class BoardResult(NamedTuple):
    """What one board shows: its word, and the value of its worst point."""

    board: str
    verdict: str
    value: str
    unit: str
    points: tuple[PointResult, ...]


@dataclass(frozen=True)
class CoverageRow:
    """State of one target, why, and what each board shows; ``path`` leads back to an ancestor's readings.

    ``beneath`` is the state a waived target has otherwise.
    """

    target: Target
    issue: TargetIssue
    state: str
    reason: str
    boards: tuple[BoardResult, ...]
    path: tuple[PathStep, ...] = ()
    beneath: str = ""


@dataclass(frozen=True)
class Coverage:
    """Every target of a revision, in order."""

    revision: Revision
    as_of: date | None
    entered_later: int
    rows: tuple[CoverageRow, ...]
    counts: dict[str, int]


def coverage_of(revision: Revision, *, as_of: date | None = None) -> Coverage:
    """Return the state of every target of a revision, today or as it stood at the end of a day."""
    standing = standing_of(revision, as_of)
    states = states_with_waived(standing)
    rows = tuple(_row(standing, key, target, states[key]) for key, target in standing.targets.items())
    later = entered_later(standing.line, standing.until) if standing.until else 0
    return Coverage(revision, as_of, later, rows, dict(Counter(row.state for row in rows)))


def _row(standing: Standing, key: str, target: Target, state: StateOfTarget) -> CoverageRow:
    return CoverageRow(
        target=target,
        issue=standing.issues[key],
        state=str(state.state),
        reason=state.reason,
        boards=_boards(state, standing.cells.get(key, ())),
        path=path_of(standing.revision.label, state, standing.older),
        beneath=str(state.beneath or ""),
    )


def state_path_of(revision: Revision, target: Target, *, as_of: date | None = None) -> tuple[PathStep, ...]:
    """Return the way from a target's state back to the readings it rests on, this revision first."""
    standing = standing_of(revision, as_of)
    state = states_with_waived(standing).get(target.key)
    if state is None:
        message = f"{target.key} is not asked on revision {revision}"
        raise NotFoundError(message)
    path = path_of(revision.label, state, standing.older)
    return path or (own_step(revision.label, state, standing.cells.get(target.key, ())),)


def _boards(state: StateOfTarget, cells: Sequence[CellResult]) -> tuple[BoardResult, ...]:
    by_board: dict[str, list[CellResult]] = defaultdict(list)
    for cell in cells:
        by_board[cell.board].append(cell)
    return tuple(_board(word, by_board[word.board]) for word in state.boards)


def _board(word: BoardWord, cells: Sequence[CellResult]) -> BoardResult:
    points = tuple(
        PointResult(
            cell.point, cell.designed_verdict, cell.designed, cell.not_counted, cell.designed_undecidable
        )
        for cell in cells
    )
    counting = [point for point in points if point.measurement is not None]
    shown = next((point for point in counting if point.verdict == word.verdict), None) or next(
        iter(counting), None
    )
    reading = shown.measurement if shown else None
    if reading is None:
        return BoardResult(word.board, word.verdict, "", "", points)
    return BoardResult(word.board, word.verdict, reading.value or reading.text, reading.unit, points)
