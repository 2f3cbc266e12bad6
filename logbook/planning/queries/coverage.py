"""Coverage: the state of every target on a revision, with what each board shows."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from logbook.bench.models import Prerequisite, Target, TargetIssue
from logbook.bench.queries.yardstick import yardstick_for
from logbook.common.errors import NotFoundError
from logbook.core.state import BoardResult as BoardWord
from logbook.core.state import StateOfTarget, TargetFacts, states_of_targets
from logbook.planning.queries.days import end_of, entered_later
from logbook.planning.queries.lineage import lineage_of
from logbook.planning.queries.paths import PathStep, own_step, path_of
from logbook.planning.queries.results import by_target, results_of
from logbook.planning.translate import CellResult, ShownReading, evidence_of, facts_of
from logbook.projects.models import DesignedPosition, Revision
from logbook.projects.queries import lineages


@dataclass(frozen=True)
class PointResult:
    """What one board shows at one point: the reading that counts, or why none does."""

    point: str
    verdict: str
    measurement: ShownReading | None
    not_counted: str
    undecidable: bool


@dataclass(frozen=True)
class BoardResult:
    """What one board shows: its word, and the value of its worst point."""

    board: str
    verdict: str
    value: str
    unit: str
    points: tuple[PointResult, ...]


@dataclass(frozen=True)
class CoverageRow:
    """State of one target, why, and what each board shows; ``path`` leads back to an ancestor's readings."""

    target: Target
    issue: TargetIssue
    state: str
    reason: str
    boards: tuple[BoardResult, ...]
    path: tuple[PathStep, ...] = ()


@dataclass(frozen=True)
class Coverage:
    """Every target of a revision, in order."""

    revision: Revision
    as_of: date | None
    entered_later: int
    rows: tuple[CoverageRow, ...]
    counts: dict[str, int]


@dataclass(frozen=True)
class Standing:
    """Everything the state of a revision's targets was decided on."""

    revision: Revision
    line: tuple[int, ...]
    until: datetime | None
    targets: Mapping[str, Target]
    issues: Mapping[str, TargetIssue]
    facts: Sequence[TargetFacts]
    cells: Mapping[str, Sequence[CellResult]]
    older: Mapping[str, Mapping[str, Sequence[CellResult]]]
    states: Mapping[str, StateOfTarget]


def standing_of(revision: Revision, as_of: date | None = None) -> Standing:
    """Decide the state of every target of a revision, from its own readings or its ancestors'.

    Eight queries today for a revision without ancestors, at most fourteen more with any number of them.
    """
    until = end_of(as_of) if as_of else None
    targets = list(
        Target.objects.filter(project_id=revision.project_id)
        .select_related("subsystem", "needs_option")
        .order_by("position", "key")
    )
    lines = lineages(revision.project)
    yardstick = yardstick_for([target.pk for target in targets], lines, until)
    in_force = {target.key: yardstick.in_force(target.pk, revision.pk) for target in targets}
    issues = {key: issue for key, issue in in_force.items() if issue is not None}
    known = {target.key: target for target in targets if target.key in issues}
    cells = by_target(known, results_of(revision.project, [revision.pk], until))
    facts = _facts(revision, known, issues)
    line = lines[revision.pk]
    unread = {key: known[key] for key, issue in issues.items() if not _counts(cells.get(key, ()), issue)}
    lineage = lineage_of(revision, line, unread, yardstick, until)
    states = states_of_targets(
        facts, {key: evidence_of(found) for key, found in cells.items()}, heritage=lineage.heritage
    )
    return Standing(revision, line, until, known, issues, facts, cells, lineage.cells, states)


def _counts(cells: Sequence[CellResult], issue: TargetIssue) -> bool:
    """Say whether some reading counts at a point the target has now."""
    return any(cell.designed is not None and cell.point in issue.points for cell in cells)


def _facts(
    revision: Revision, targets: Mapping[str, Target], issues: Mapping[str, TargetIssue]
) -> list[TargetFacts]:
    unfitted = set(
        DesignedPosition.objects.filter(revision=revision, position__isnull=True).values_list(
            "option_id", flat=True
        )
    )
    needs: dict[str, list[str]] = defaultdict(list)
    for key, needed in Prerequisite.objects.filter(target__project_id=revision.project_id).values_list(
        "target__key", "needs__key"
    ):
        if needed in targets:
            needs[key].append(needed)
    return [
        facts_of(
            target,
            issues[key],
            option_not_fitted=(
                target.needs_option.key if target.needs_option and target.needs_option_id in unfitted else ""
            ),
            needs=sorted(needs[key]),
        )
        for key, target in targets.items()
    ]


def coverage_of(revision: Revision, *, as_of: date | None = None) -> Coverage:
    """Return the state of every target of a revision, today or as it stood at the end of a day."""
    standing = standing_of(revision, as_of)
    rows = tuple(
        CoverageRow(
            target=target,
            issue=standing.issues[key],
            state=str(standing.states[key].state),
            reason=standing.states[key].reason,
            boards=_boards(standing.states[key], standing.cells.get(key, ())),
            path=path_of(revision.label, standing.states[key], standing.older),
        )
        for key, target in standing.targets.items()
    )
    later = entered_later(standing.line, standing.until) if standing.until else 0
    return Coverage(revision, as_of, later, rows, dict(Counter(row.state for row in rows)))


def state_path_of(revision: Revision, target: Target, *, as_of: date | None = None) -> tuple[PathStep, ...]:
    """Return the way from a target's state back to the readings it rests on, this revision first."""
    standing = standing_of(revision, as_of)
    state = standing.states.get(target.key)
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
