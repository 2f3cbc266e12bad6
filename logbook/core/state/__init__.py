"""State of every target on one revision, from the current results of its cells.

A cell is (target, board, point). The caller settles which reading is current and whether it counts as
designed; from then on everything here follows from the values given, in the order of rules of the
table of states, first that fits. Where no reading here counts, the nearest ancestor's evidence is asked,
weighed by how near the changes since came. Every state says why in one line that names boards and limits.
"""

from __future__ import annotations

from logbook.core.state.boards import BoardResult, PointResults, Reading
from logbook.core.state.evidence import CellEvidence, TargetFacts
from logbook.core.state.heritage import Change, Heritage, Reworked, Step
from logbook.core.state.states import states_of_targets, waived
from logbook.core.state.target_state import Argument, Inherited, Link, State, StateOfTarget

__all__ = [
    "Argument",
    "BoardResult",
    "CellEvidence",
    "Change",
    "Heritage",
    "Inherited",
    "Link",
    "PointResults",
    "Reading",
    "Reworked",
    "State",
    "StateOfTarget",
    "Step",
    "TargetFacts",
    "states_of_targets",
    "waived",
]
