"""From cells to boards and to points: the worst of its points is a board's verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from logbook.core.errors import EvidenceError
from logbook.core.state.evidence import CellEvidence, TargetFacts
from logbook.core.verdict import Verdict

RANKS = {str(verdict): verdict.rank for verdict in Verdict}
PARTLY = "partly verified"
NOT_COUNTED = "not counted"


class BoardResult(NamedTuple):
    """One board: its verdict word, and the points that have no verdict yet.

    `verdict` is the worst of its points; "partly verified" when all that were read pass but points are
    missing; "seen working" or "inconclusive" without any verdict; "not counted" without a reading that
    counts as designed.
    """

    board: str
    verdict: str
    missing_points: tuple[str, ...]

    @property
    def is_judged(self) -> bool:
        """Whether at least one point has a verdict."""
        return self.verdict in RANKS or self.verdict == PARTLY


class Reading(NamedTuple):
    """One judged reading of a point, in the base unit."""

    board: str
    verdict: str
    value: float | None
    standard_uncertainty: float


class PointResults(NamedTuple):
    """One point across boards."""

    point: str
    readings: tuple[Reading, ...]

    @property
    def numbers(self) -> tuple[Reading, ...]:
        """The readings that are numbers."""
        return tuple(reading for reading in self.readings if reading.value is not None)


@dataclass(slots=True)
class Tally:
    """The cells of one target, sorted once by what can be said of them."""

    judged: dict[str, dict[str, CellEvidence]] = field(default_factory=dict)
    observed: dict[str, CellEvidence] = field(default_factory=dict)
    uncounted: dict[str, str] = field(default_factory=dict)
    boards: dict[str, None] = field(default_factory=dict)
    undecidable: bool = False

    @property
    def judged_cells(self) -> list[CellEvidence]:
        """All cells with a verdict, board by board."""
        return [cell for cells in self.judged.values() for cell in cells.values()]


def tally_cells(facts: TargetFacts, cells: Sequence[CellEvidence]) -> Tally:
    """Sort the cells of one target.

    Parameters
    ----------
    facts : TargetFacts
        Of the target.
    cells : sequence of CellEvidence
        At most one a board and point.

    Returns
    -------
    Tally
        A cell at a point the target no longer has does not count.

    Raises
    ------
    EvidenceError
        When a board and point come twice.
    """
    tally = Tally()
    points = set(facts.points)
    seen: set[tuple[str, str]] = set()
    for cell in cells:
        if (cell.board, cell.point) in seen:
            where = f"board {cell.board}, point '{cell.point}'"
            raise EvidenceError(
                f"{facts.key} has two current results on {where}.", allowed="one a cell", where=where
            )
        seen.add((cell.board, cell.point))
        tally.boards.setdefault(cell.board)
        _sort_cell(cell, tally, known=cell.point in points)
    tally.undecidable = bool(tally.judged) and all(cell.undecidable for cell in tally.judged_cells)
    return tally


def _sort_cell(cell: CellEvidence, tally: Tally, *, known: bool) -> None:
    if not cell.counts:
        tally.uncounted.setdefault(cell.board, cell.not_counted)
    elif not known:
        tally.uncounted.setdefault(cell.board, f"{cell.point or 'unnamed point'} is no point of the target")
    elif cell.judged_as is None:
        tally.observed.setdefault(cell.board, cell)
    else:
        tally.judged.setdefault(cell.board, {})[cell.point] = cell


def board_results(facts: TargetFacts, tally: Tally) -> tuple[BoardResult, ...]:
    """Verdict word and missing points of each board, in the order the cells came.

    Parameters
    ----------
    facts : TargetFacts
        Of the target.
    tally : Tally
        Its sorted cells.

    Returns
    -------
    tuple of BoardResult
        One a board that has any cell.
    """
    return tuple(_board_result(board, facts.points, tally) for board in tally.boards)


def _board_result(board: str, points: tuple[str, ...], tally: Tally) -> BoardResult:
    cells = tally.judged.get(board, {})
    missing = tuple(point for point in points if point not in cells)
    if cells:
        worst = min((cell.judged_as or "" for cell in cells.values()), key=RANKS.__getitem__)
        return BoardResult(board, PARTLY if missing and worst == Verdict.PASS else worst, missing)
    if board in tally.observed:
        outcome = tally.observed[board].outcome
        return BoardResult(board, outcome if outcome == "inconclusive" else "seen working", missing)
    return BoardResult(board, NOT_COUNTED, missing)


def point_results(facts: TargetFacts, tally: Tally) -> tuple[PointResults, ...]:
    """The judged readings of each point across boards.

    Parameters
    ----------
    facts : TargetFacts
        Of the target.
    tally : Tally
        Its sorted cells.

    Returns
    -------
    tuple of PointResults
        One a point, also where nothing was read.
    """
    found: dict[str, list[Reading]] = {point: [] for point in facts.points}
    for board, cells in tally.judged.items():
        for point, cell in cells.items():
            value = cell.value if cell.outcome == "number" else None
            found[point].append(Reading(board, cell.judged_as or "", value, cell.standard_uncertainty or 0.0))
    return tuple(PointResults(point, tuple(readings)) for point, readings in found.items())


def worst_board(facts: TargetFacts, tally: Tally) -> str | None:
    """The board with the worst verdict; among equals the one nearest to or furthest beyond a limit.

    Parameters
    ----------
    facts : TargetFacts
        Of the target.
    tally : Tally
        Its sorted cells.

    Returns
    -------
    str or None
        Serial of the board; None when no board has a verdict.
    """
    cells = tally.judged_cells
    if not cells:
        return None
    return min(
        cells, key=lambda cell: (RANKS[cell.judged_as or ""], _distance_to_limit(facts, cell), cell.board)
    ).board


def _distance_to_limit(facts: TargetFacts, cell: CellEvidence) -> float:
    if cell.value is None:
        return math.inf
    above = math.inf if facts.low is None else cell.value - facts.low
    below = math.inf if facts.high is None else facts.high - cell.value
    return min(above, below)
