"""How many targets stand in which state, as words with numbers and as one bar."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from logbook.core.state import State


@dataclass(frozen=True)
class StateCount:
    """One state with its number of targets, and its stretch of a bar 100 wide."""

    state: str
    name: str
    count: int
    x: float
    width: float


def state_counts(counts: Mapping[str, int]) -> tuple[StateCount, ...]:
    """Return the states that occur, the settled ones first, as stretches of one bar."""
    total = sum(counts.values())
    found, begin = [], 0.0
    for state in _order():
        if count := counts.get(state, 0):
            width = 100 * count / total
            name = state.value.replace(" ", "-")
            found.append(StateCount(state.value, name, count, round(begin, 3), round(width, 3)))
            begin += width
    return tuple(found)


def _order() -> tuple[State, ...]:
    return (
        State.VERIFIED,
        State.CARRIED_OVER,
        State.WAIVED,
        State.NOT_APPLICABLE,
        State.PARTLY_VERIFIED,
        State.SEEN_WORKING,
        State.STALE,
        State.MARGINAL,
        State.FAILING,
        State.BLOCKED,
        State.NEVER_TRIED,
    )


def bar_text(counts: Mapping[str, int]) -> str:
    """Return what the bar shows, in words."""
    total = sum(counts.values())
    parts = ", ".join(f"{one.count} {one.state}" for one in state_counts(counts))
    return f"{total} {'target' if total == 1 else 'targets'}: {parts}"
