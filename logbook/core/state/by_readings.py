"""What the readings of one revision amount to for one target, before anything is inherited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

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
from logbook.core.state.target_state import State, StateOfTarget
from logbook.core.verdict import Verdict

# From this predictive probability on, passing on two boards or more is marginal. Judgement.
MARGINAL_PROBABILITY = 0.20


def state_by_readings(
    facts: TargetFacts,
    cells: Sequence[CellEvidence],
    marginal_probability: float = MARGINAL_PROBABILITY,
) -> StateOfTarget:
    """State of one target from the readings given alone.

    Parameters
    ----------
    facts : TargetFacts
        Of the target; options and prerequisites are not asked.
    cells : sequence of CellEvidence
        At most one a board and point.
    marginal_probability : float
        From this predictive probability on, 0 to 1, passing on two boards or more is marginal.

    Returns
    -------
    StateOfTarget
        Failing, marginal, verified, partly verified or seen working; stale where no reading counts, and
        never tried without any.

    Raises
    ------
    EvidenceError
        When a cell has two results.

    Examples
    --------
    >>> rail = TargetFacts("RLD-2", "RLD", ("",), 1, "number", 3.234, 3.366)
    >>> state_by_readings(rail, []).state
    <State.NEVER_TRIED: 'never tried'>
    """
    return _state(facts, tuple(cells), marginal_probability)


# A reading changes one target of hundreds; what the others amount to need not be worked out again.
@lru_cache(maxsize=4096)
def _state(facts: TargetFacts, cells: tuple[CellEvidence, ...], marginal_probability: float) -> StateOfTarget:
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
    state, reason = _judged(facts, tally, boards, passing, doubtful) or _unjudged(tally)
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


def _unjudged(tally: Tally) -> tuple[State, str]:
    if tally.observed:
        return State.SEEN_WORKING, reasons.observed(tally)
    if tally.uncounted:
        return State.STALE, reasons.uncounted(tally)
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
