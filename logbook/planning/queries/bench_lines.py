"""What is next on one board: every target and point, in the order it can be done."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from logbook.bench.choices import Outcome
from logbook.bench.models import Prerequisite, Target, TargetIssue
from logbook.bench.queries.yardstick import yardstick_for
from logbook.boards.choices import BoardState
from logbook.boards.models import Board
from logbook.core.graph import closure, dependency_order
from logbook.core.verdict import Verdict
from logbook.planning.queries.results import results_of_project
from logbook.planning.translate import CellResult, ShownReading
from logbook.projects.queries import lineages

PASSING = frozenset({Verdict.PASS.value, Verdict.CONDITIONAL_PASS.value})
SOUND = frozenset({BoardState.IN_USE, BoardState.NEW, BoardState.REFERENCE})
FAILING = frozenset({Verdict.FAIL.value, Verdict.CONDITIONAL_FAIL.value})


@dataclass(frozen=True)
class Sister:
    """What another board of the project reads, as found; ``state`` is told of one not to be compared with."""

    serial: str
    revision: str
    state: str
    text: str
    unit: str
    value_base: float | None
    verdict: str


@dataclass(frozen=True)
class BenchLine:
    """One (target, point) on the board in hand.

    ``stop`` names prerequisites that fail here, directly or not; ``waits_for`` those needed directly
    that have no pass here yet.
    """

    target: Target
    issue: TargetIssue
    point: str
    found: ShownReading | None
    verdict: str
    undecidable: bool
    not_counted: str
    stop: tuple[str, ...]
    waits_for: tuple[str, ...]
    sisters: tuple[Sister, ...]

    @property
    def minutes(self) -> int:
        """Return the hands-on minutes."""
        return self.target.minutes

    @property
    def is_open(self) -> bool:
        """Say whether a reading here would still tell something: none stands, or it decided nothing."""
        return self.found is None or not self.verdict or self.undecidable


def bench_lines_of(board: Board) -> tuple[BenchLine, ...]:
    """Return the lines of a board in dependency order. Six queries, whatever the history."""
    targets = list(
        Target.objects.filter(project_id=board.project_id)
        .select_related("subsystem")
        .order_by("position", "key")
    )
    by_key = {target.key: target for target in targets}
    yardstick = yardstick_for([target.pk for target in targets], lineages(board.project))
    direct = _direct_needs(board, by_key)
    results = results_of_project(board.project)
    here = {(cell.target_id, cell.point): cell for cell in results if cell.board == board.serial}
    sisters = _sisters(board, results)
    issues = {target.pk: yardstick.in_force(target.pk, board.revision_id) for target in targets}
    words = _words(here, issues)
    needs = closure(direct)
    # What stresses a board comes last, whatever its place in the list.
    places = {target.key: (target.stresses_board, place) for place, target in enumerate(targets)}
    lines = []
    for key in dependency_order(direct, key=places.__getitem__):
        target = by_key[key]
        issue = issues[target.pk]
        if issue is None:
            continue
        stop = tuple(sorted(one for one in needs[key] if words.get(by_key[one].pk, set()) & FAILING))
        waits = tuple(sorted(one for one in direct[key] if not _passes(words, by_key[one].pk)))
        lines += [
            _line(target, issue, point, here.get((target.pk, point)), stop, waits, sisters[target.pk, point])
            for point in issue.points
        ]
    return tuple(lines)


def _direct_needs(board: Board, targets: Collection[str]) -> dict[str, set[str]]:
    needs: dict[str, set[str]] = {key: set() for key in targets}
    for key, needed in Prerequisite.objects.filter(target__project_id=board.project_id).values_list(
        "target__key", "needs__key"
    ):
        needs[key].add(needed)
    return needs


def _sisters(board: Board, results: Collection[CellResult]) -> Mapping[tuple[int, str], tuple[Sister, ...]]:
    boards = Board.objects.filter(project_id=board.project_id)
    known = {
        serial: (label, "" if state in SOUND else state)
        for serial, label, state in boards.values_list("serial", "revision__label", "state")
    }
    # Boards one can go and compare with come first: sorting keeps the order of their serials.
    results = sorted(results, key=lambda cell: bool(known[cell.board][1]))
    found: dict[tuple[int, str], tuple[Sister, ...]] = defaultdict(tuple)
    for cell in results:
        if cell.board == board.serial:
            continue
        reading = cell.found
        sister = Sister(
            cell.board,
            *known[cell.board],
            _said(reading),
            reading.unit,
            reading.value_base,
            cell.found_verdict,
        )
        found[cell.target_id, cell.point] += (sister,)
    return found


def _said(reading: ShownReading) -> str:
    """Return the number without the unit it may have been typed with, or the word."""
    return reading.value if reading.outcome == Outcome.NUMBER else reading.text


def _words(
    here: Mapping[tuple[int, str], CellResult], issues: Mapping[int, TargetIssue | None]
) -> dict[int, set[str]]:
    """Return the verdicts as found at every point a target has now; empty where a point is not read."""
    return {
        target_id: {
            here[target_id, point].found_verdict if (target_id, point) in here else ""
            for point in issue.points
        }
        for target_id, issue in issues.items()
        if issue is not None
    }


def _passes(words: Mapping[int, set[str]], target_id: int) -> bool:
    found = words.get(target_id, set())
    return bool(found) and found <= PASSING


def _line(
    target: Target,
    issue: TargetIssue,
    point: str,
    cell: CellResult | None,
    stop: tuple[str, ...],
    waits_for: tuple[str, ...],
    sisters: tuple[Sister, ...],
) -> BenchLine:
    return BenchLine(
        target=target,
        issue=issue,
        point=point,
        found=cell.found if cell else None,
        verdict=cell.found_verdict if cell else "",
        undecidable=cell.found_undecidable if cell else False,
        not_counted=cell.not_counted if cell else "",
        stop=stop,
        waits_for=waits_for,
        sisters=sisters,
    )
