"""What would close a risk, in one line."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.core.state import State, StateOfTarget, TargetFacts

# The kind of a target that asks for a look only: it can fail, but no reading gives it a pass.
SEEN_WORKING = "seen working"


def closes(state: StateOfTarget, facts: TargetFacts) -> str:
    """What would close the risk of a target in this state.

    Parameters
    ----------
    state : StateOfTarget
        State of the target.
    facts : TargetFacts
        Of the same target.

    Returns
    -------
    str
        One line, to be done at a bench.
    """
    if state.state == State.MARGINAL and state.undecidable:
        return "read it again with a smaller uncertainty, or widen the limits"
    if state.state == State.PARTLY_VERIFIED:
        return _rest(state, facts)
    if state.state == State.SEEN_WORKING and facts.kind == SEEN_WORKING:
        return "no reading can pass it: issue it anew with limits or as yes or no"
    if state.state == State.BLOCKED:
        return f"{state.reason}: settle that, then read this on {_boards(facts.boards_needed)}"
    return _BY_STATE[state.state].format(boards=_boards(facts.boards_needed))


def closes_calibration(instruments: Sequence[str]) -> str:
    """What would close readings taken with instruments out of calibration.

    Parameters
    ----------
    instruments : sequence of str
        Their names, at least one.

    Returns
    -------
    str
        One line.
    """
    return f"calibrate {', '.join(instruments)} and find it in limits, or read again with another"


_BY_STATE = {
    State.FAILING: "fix the cause, then a pass on an unmodified board of the next revision",
    State.MARGINAL: "move the design away from its limit, or read it again with a smaller uncertainty",
    State.SEEN_WORKING: "a reading with a verdict on {boards}",
    State.STALE: "a reading that counts as designed on {boards}",
    State.NEVER_TRIED: "a first reading on {boards}",
}


def _rest(state: StateOfTarget, facts: TargetFacts) -> str:
    open_boards = facts.boards_needed - state.passing_boards
    half_read = [board for board in state.boards if board.verdict == State.PARTLY_VERIFIED][:open_boards]
    parts = [f"read {', '.join(board.missing_points)} on {board.board}" for board in half_read]
    if open_boards > len(half_read):
        parts.append(f"a pass on {_boards(open_boards - len(half_read), 'more ')}")
    return "; ".join(parts)


def _boards(count: int, more: str = "") -> str:
    return f"{count} {more}{'board' if count == 1 else 'boards'}"
