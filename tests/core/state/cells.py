"""Short ways to write targets and cells for the tests of states and risks."""

from __future__ import annotations

from typing import Any

from logbook.core.state import CellEvidence, State, StateOfTarget, TargetFacts, states_of_targets


def target(key: str = "RLD-2", **changes: Any) -> TargetFacts:
    """A 3.3 V rail with one unnamed point, asked for on one board."""
    facts: dict[str, Any] = {
        "key": key,
        "subsystem": "RLD",
        "points": ("",),
        "boards_needed": 1,
        "kind": "number",
        "low": 3.234,
        "high": 3.366,
        "unit": "V",
    }
    return TargetFacts(**(facts | changes))


def number(board: str, value: float, verdict: str = "pass", **changes: Any) -> CellEvidence:
    """A reading with a number."""
    cell: dict[str, Any] = {"point": "", "standard_uncertainty": None, "undecidable": False}
    return CellEvidence(board=board, verdict=verdict, value=value, outcome="number", **(cell | changes))


def seen(board: str, outcome: str, verdict: str | None = None, point: str = "") -> CellEvidence:
    """A yes/no check or an observation."""
    return CellEvidence(board, point, verdict, None, None, undecidable=False, outcome=outcome)


def uncounted(board: str, why: str = "rework RW-02 (repair) in force", point: str = "") -> CellEvidence:
    """A cell with readings, none of which counts as designed."""
    return CellEvidence(
        board, point, None, None, None, undecidable=False, outcome="number", counts=False, not_counted=why
    )


def state_of(facts: TargetFacts, *cells: CellEvidence, **settings: float) -> StateOfTarget:
    """State of one target that needs no other."""
    return states_of_targets([facts], {facts.key: cells}, **settings)[facts.key]


def word(facts: TargetFacts, *cells: CellEvidence) -> State:
    """Only the word of it."""
    return state_of(facts, *cells).state
