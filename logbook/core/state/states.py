"""The table of states: the first rule that fits decides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from logbook.core.errors import EvidenceError
from logbook.core.graph import dependency_order
from logbook.core.samples.predictive import predictive_out_of_limits
from logbook.core.state import reasons
from logbook.core.state.boards import (
    RANKS,
    BoardResult,
    PointResults,
    Tally,
    board_results,
    point_results,
    tally_cells,
    worst_board,
)
from logbook.core.state.evidence import CellEvidence, TargetFacts
from logbook.core.verdict import Verdict


class State(StrEnum):
    """State of a target on a revision, in the order in which the rules are asked."""

    WAIVED = "waived"
    NOT_APPLICABLE = "not applicable"
    FAILING = "failing"
    MARGINAL = "marginal"
    VERIFIED = "verified"
    PARTLY_VERIFIED = "partly verified"
    SEEN_WORKING = "seen working"
    STALE = "stale"
    CARRIED_OVER = "carried over"
    BLOCKED = "blocked"
    NEVER_TRIED = "never tried"


BLOCKING = frozenset({State.FAILING, State.NEVER_TRIED, State.BLOCKED})


@dataclass(frozen=True, slots=True)
class StateOfTarget:
    """State of one target, why, and what it was decided on.

    Parameters
    ----------
    target : str
        Key of the target.
    state : State
        The word.
    reason : str
        One line a person can check.
    boards : tuple of BoardResult
        (board, verdict word, missing points) of every board with a reading.
    probability_out : float or None
        Greatest predictive probability over the points that the next board is out of limits.
    passing_boards, needed : int
        Boards that pass at every point, and boards asked for.
    worst_board : str or None
        Board with the worst verdict.
    points : tuple of PointResults
        Judged readings of each point.
    undecidable : bool
        Whether there are verdicts and every one is undecidable.
    """

    target: str
    state: State
    reason: str
    boards: tuple[BoardResult, ...]
    probability_out: float | None
    passing_boards: int
    needed: int
    worst_board: str | None
    points: tuple[PointResults, ...] = ()
    undecidable: bool = False


def states_of_targets(
    facts: Sequence[TargetFacts],
    evidence: Mapping[str, Sequence[CellEvidence]],
    *,
    marginal_probability: float = 0.20,
) -> dict[str, StateOfTarget]:
    """State of every target of a revision, decided from readings on the revision itself.

    Parameters
    ----------
    facts : sequence of TargetFacts
        All targets of the project, each once; prerequisites must be among them.
    evidence : mapping of str to sequence of CellEvidence
        Current results by key of the target; a target without an entry has none.
    marginal_probability : float
        From this predictive probability on, 0 to 1, passing on two boards or more is marginal.

    Returns
    -------
    dict of str to StateOfTarget
        One entry a target, in the order of `facts`.

    Raises
    ------
    EvidenceError
        When a target comes twice, evidence belongs to no target, or a cell has two results.
    GraphError
        When prerequisites run in a circle or name an unknown target.

    Notes
    -----
    A board at conditional pass is marginal even while it has points missing: the worst reading decides.
    Waived and carried over need decisions and ancestors and are never the answer here.

    Examples
    --------
    >>> rail = TargetFacts("RLD-2", "RLD", ("",), 1, "number", 3.234, 3.366)
    >>> cell = CellEvidence("0003", "", "pass", 3.322, 0.0005, False, "number")
    >>> states_of_targets([rail], {"RLD-2": [cell]})["RLD-2"].state
    <State.VERIFIED: 'verified'>
    """
    by_key = {target.key: target for target in facts}
    _refuse_strangers(facts, by_key, evidence)
    found: dict[str, StateOfTarget] = {}
    for key in dependency_order({target.key: target.prerequisites for target in facts}):
        target = by_key[key]
        blockers = [
            (needed, str(found[needed].state))
            for needed in target.prerequisites
            if found[needed].state in BLOCKING
        ]
        found[key] = _state_of(target, evidence.get(key, ()), blockers, marginal_probability)
    return {target.key: found[target.key] for target in facts}


def _state_of(
    facts: TargetFacts,
    cells: Sequence[CellEvidence],
    blockers: Sequence[tuple[str, str]],
    marginal_probability: float,
) -> StateOfTarget:
    tally = tally_cells(facts, cells)
    boards, points = board_results(facts, tally), point_results(facts, tally)
    odds = {point.point: _probability_out(facts, point) for point in points if point.numbers}
    settled = {name: p for name, p in odds.items() if p is not None}
    doubtful = {
        point.point: settled[point.point]
        for point in points
        if len(point.numbers) > 1 and settled.get(point.point, 0.0) >= marginal_probability
    }
    passing = sum(board.verdict == Verdict.PASS for board in boards)
    state, reason = (
        _not_applicable(facts)
        or _judged(facts, tally, boards, passing, doubtful)
        or _unjudged(tally, blockers)
    )
    return StateOfTarget(
        target=facts.key,
        state=state,
        reason=reason,
        boards=boards,
        probability_out=max(settled.values(), default=None),
        passing_boards=passing,
        needed=facts.boards_needed,
        worst_board=worst_board(facts, tally),
        points=points,
        undecidable=tally.undecidable,
    )


def _not_applicable(facts: TargetFacts) -> tuple[State, str] | None:
    if not facts.option_not_fitted:
        return None
    return State.NOT_APPLICABLE, reasons.not_fitted(facts.option_not_fitted)


def _judged(
    facts: TargetFacts,
    tally: Tally,
    boards: Sequence[BoardResult],
    passing: int,
    doubtful: Mapping[str, float],
) -> tuple[State, str] | None:
    """Failing, marginal, verified or partly verified; None without any verdict."""
    if not tally.judged:
        return None
    worst = min(RANKS.get(board.verdict, RANKS["pass"]) for board in boards if board.is_judged)
    if worst <= Verdict.CONDITIONAL_FAIL.rank:
        return State.FAILING, reasons.failing(facts, tally)
    if worst == Verdict.CONDITIONAL_PASS.rank:
        return State.MARGINAL, reasons.conditional(facts, tally)
    if doubtful:
        return State.MARGINAL, reasons.next_board_doubtful(facts, doubtful)
    if tally.undecidable:
        return State.MARGINAL, reasons.undecidable(tally)
    if passing >= facts.boards_needed:
        return State.VERIFIED, reasons.verified(facts, boards)
    return State.PARTLY_VERIFIED, reasons.partly_verified(facts, boards, passing)


def _unjudged(tally: Tally, blockers: Sequence[tuple[str, str]]) -> tuple[State, str]:
    if tally.observed:
        return State.SEEN_WORKING, reasons.observed(tally)
    if tally.uncounted:
        return State.STALE, reasons.uncounted(tally)
    if blockers:
        return State.BLOCKED, reasons.blocked(blockers)
    return State.NEVER_TRIED, reasons.NEVER_TRIED


def _probability_out(facts: TargetFacts, point: PointResults) -> float | None:
    numbers = point.numbers
    found = predictive_out_of_limits(
        [reading.value for reading in numbers if reading.value is not None],
        [reading.standard_uncertainty for reading in numbers],
        facts.low,
        facts.high,
        nominal=facts.nominal,
        logarithmic=facts.logarithmic,
    )
    return None if found is None else found.p_out


def _refuse_strangers(
    facts: Sequence[TargetFacts],
    by_key: Mapping[str, TargetFacts],
    evidence: Mapping[str, Sequence[CellEvidence]],
) -> None:
    if len(by_key) != len(facts):
        keys = [target.key for target in facts]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise EvidenceError(f"Target {twice} comes twice.", given=twice, allowed="each once", where="facts")
    for key in evidence:
        if key not in by_key:
            raise EvidenceError(
                f"There is evidence for {key}, which is no target here.",
                given=key,
                allowed="targets among the facts",
                where="evidence",
            )
