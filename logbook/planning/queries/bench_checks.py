"""What could be done on the boards at hand, and what each check would close."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field

from logbook.bench.choices import Outcome, TargetKind
from logbook.boards.choices import BoardState
from logbook.boards.models import Board
from logbook.boards.queries import BoardTimeline
from logbook.common import clock
from logbook.core.bench_plan import Check, LeftOut, Need
from logbook.core.graph import closure
from logbook.core.risk import Risk, Severity
from logbook.core.state import State
from logbook.core.state.reasons import NEVER_TRIED
from logbook.planning.queries.bench_lines import FAILING, PASSING
from logbook.planning.queries.better_instruments import RangesAtHand, deciding_instrument, ranges_at_hand
from logbook.planning.queries.standing import Standing
from logbook.planning.queries.target_risks import TargetRisks
from logbook.planning.translate import CellResult

OPEN_STATES = frozenset(
    {State.NEVER_TRIED, State.PARTLY_VERIFIED, State.SEEN_WORKING, State.STALE, State.BLOCKED}
)
NOTHING_TO_BUY = {
    State.FAILING: "failing: reading it again buys nothing before its cause is fixed",
    State.MARGINAL: "marginal: one more reading does not take the design away from its limit",
}
SEEN_ENOUGH = "seen working on board {}: no reading can pass it, issue it anew with limits or as yes or no"


@dataclass(frozen=True)
class BenchChecks:
    """Every check that could be done, and what was closed to the plan from the start, with the reason."""

    standing: Standing
    checks: tuple[Check, ...]
    closed: tuple[LeftOut, ...]
    bases: Mapping[str, str]


def checks_of(
    found: TargetRisks,
    boards: Sequence[Board],
    timelines: Mapping[int, BoardTimeline],
    risked: Set[str] | None,
) -> BenchChecks:
    """Return the checks of a revision on some of its boards. Two queries at most.

    ``risked`` are the targets for which the only board at hand may be stressed; None where there are more.
    """
    standing = found.standing
    risks = {row.subject: row for row in found.rows if not row.kind.is_about_instruments}
    work = _Work(standing, risks, timelines, _questions(standing, risks), risked)
    for key in standing.targets:
        work.look_at(key, boards)
    bases = {key: row.probability_basis for key, row in risks.items()}
    return BenchChecks(standing, tuple(work.checks), tuple(work.closed), bases)


def _questions(standing: Standing, risks: Mapping[str, Risk]) -> dict[str, str]:
    """Return for each target with something to find out why it is open, in a few words."""
    ranges: RangesAtHand | None = None
    questions = {}
    for key, state in standing.states.items():
        if state.state in OPEN_STATES and key in risks:
            told = state.reason != NEVER_TRIED
            questions[key] = f"{state.state}, {state.reason}" if told else str(state.state)
        elif state.state == State.MARGINAL and state.undecidable and key in risks:
            readings = [cell.designed for cell in standing.cells.get(key, ()) if cell.designed]
            ranges = ranges or ranges_at_hand()
            name = deciding_instrument(standing.issues[key], readings, ranges)
            if name:
                questions[key] = f"undecidable so far, {name} would decide it"
    return questions


@dataclass
class _Work:
    """Collects checks target by target."""

    standing: Standing
    risks: Mapping[str, Risk]
    timelines: Mapping[int, BoardTimeline]
    questions: Mapping[str, str]
    risked: Set[str] | None = None
    checks: list[Check] = field(default_factory=list)
    closed: list[LeftOut] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.moment = clock.now()
        self.cells = {
            (key, cell.board, cell.point): cell
            for key, cells in self.standing.cells.items()
            for cell in cells
        }
        applies = {key for key, state in self.standing.states.items() if state.state != State.NOT_APPLICABLE}
        self.direct = {
            one.key: [needed for needed in one.prerequisites if needed in applies]
            for one in self.standing.facts
        }
        self.all_needs = closure(self.direct)
        self.hours = dict(zip(Severity, self.standing.revision.project.hours, strict=True))

    def look_at(self, key: str, boards: Sequence[Board]) -> None:
        """Add the checks of one target on every board, and why it is closed where it is."""
        state = self.standing.states[key].state
        if state == State.NOT_APPLICABLE:
            return
        before = len(self.checks), len(self.closed)
        for board in boards:
            for point in self.standing.issues[key].points:
                self._look_at_cell(key, board, point)
        if key not in self.questions:
            self._close_target(key, state)
        elif (
            boards and not any(one.buys for one in self.checks[before[0] :]) and before[1] == len(self.closed)
        ):
            self.closed.append(LeftOut(key, "", "", "nothing left to read on the boards at hand"))

    def _close_target(self, key: str, state: State) -> None:
        reason = NOTHING_TO_BUY.get(state, "")
        if self.standing.states[key].undecidable:
            reason = "undecidable, and no instrument here would decide it"
        if reason:
            self.closed.append(LeftOut(key, "", "", reason))

    def _look_at_cell(self, key: str, board: Board, point: str) -> None:
        cell = self.cells.get((key, board.serial, point))
        question = self._question(key, cell)
        found = cell.found_verdict if cell else ""
        if self._is_seen_enough(key, cell):
            if question:
                self.closed.append(LeftOut(key, point, board.serial, SEEN_ENOUGH.format(board.serial)))
            return
        if found in FAILING:
            if question:
                reason = f"fails on board {board.serial}: reading it again buys nothing"
                self.closed.append(LeftOut(key, point, board.serial, reason))
            return
        departure = self._departure(key, board) if question else ""
        if departure:
            reason = f"would not count as designed on board {board.serial}: {departure}"
            self.closed.append(LeftOut(key, point, board.serial, reason))
            question = ""
        if question or found not in PASSING:
            self.checks.append(self._check(key, board, point, question))

    def _is_seen_enough(self, key: str, cell: CellResult | None) -> bool:
        """Say whether a target that asks for a look only was seen working here, as designed."""
        asks_for_a_look = self.standing.issues[key].kind == TargetKind.SEEN_WORKING
        reading = cell.designed if cell and asks_for_a_look else None
        return reading is not None and reading.outcome == Outcome.SEEN_WORKING

    def _question(self, key: str, cell: CellResult | None) -> str:
        """Return why a reading would tell something here; empty where this board has told already."""
        question = self.questions.get(key, "")
        if cell is None or self.standing.states[key].state == State.MARGINAL:
            return question
        return "" if cell.designed_verdict in PASSING else question

    def _departure(self, key: str, board: Board) -> str:
        subsystem_id = self.standing.targets[key].subsystem_id
        return self.timelines[board.pk].departure_at(subsystem_id, self.moment)

    def _check(self, key: str, board: Board, point: str, question: str) -> Check:
        target = self.standing.targets[key]
        risk = self.risks.get(key)
        state = self.standing.states[key].state
        return Check(
            target=key,
            point=point,
            board=board.serial,
            minutes=target.minutes,
            waiting_minutes=target.waiting_minutes,
            probability=risk.probability if risk and question else 0.0,
            hours=self.hours[Severity(target.severity)],
            severity=target.severity,
            why=question or f"{state} on this revision, not yet on board {board.serial}",
            needs=tuple(self._needs(key, board.serial)),
            needs_power=target.needs_power,
            stresses_board=target.stresses_board,
            on_reference=board.state == BoardState.REFERENCE,
            on_only_board=self.risked is not None and key not in self.risked,
        )

    def _needs(self, key: str, board: str) -> Iterator[Need]:
        """Yield every point of every direct prerequisite, and of the others those that fail here."""
        direct = self.direct[key]
        for needed in (*direct, *sorted(self.all_needs[key] - set(direct))):
            for point in self.standing.issues[needed].points:
                cell = self.cells.get((needed, board, point))
                found = cell.found_verdict if cell else ""
                if self._is_seen_enough(needed, cell):
                    continue
                if needed in direct or found in FAILING:
                    yield Need(needed, point, found)
