"""State of every target on one revision, from the current results of its cells.

A cell is (target, board, point). The caller settles which reading is current and whether it counts as
designed; from then on everything here follows from the values given, in the order of rules of the
table of states, first that fits. Every state says why in one line that names boards and limits.
"""

from __future__ import annotations

from logbook.core.state.boards import BoardResult, PointResults, Reading
from logbook.core.state.evidence import CellEvidence, TargetFacts
from logbook.core.state.states import State, StateOfTarget, states_of_targets

__all__ = [
    "BoardResult",
    "CellEvidence",
    "PointResults",
    "Reading",
    "State",
    "StateOfTarget",
    "TargetFacts",
    "states_of_targets",
]
