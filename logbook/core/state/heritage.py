"""What a revision can inherit: its line of ancestors, their readings and the changes in between."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from logbook.core.state.evidence import CellEvidence
from logbook.core.state.target_state import Argument


@dataclass(frozen=True, slots=True)
class Change:
    """What a revision does differently from its parent.

    Parameters
    ----------
    key : str
        Key of the change.
    touched : frozenset of str
        Subsystems it touches; may be empty.
    folds_in : frozenset of str
        Names of reworks it makes part of the drawing.
    """

    key: str
    touched: frozenset[str] = frozenset()
    folds_in: frozenset[str] = frozenset()


class Reworked(NamedTuple):
    """Readings of one target taken while reworks were the only departure from the drawing."""

    reworks: tuple[str, ...]
    cells: tuple[CellEvidence, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One step back in the line: a revision, its changes, and the readings of its parent.

    Parameters
    ----------
    revision, parent : str
        Labels.
    changes : tuple of Change
        Against the parent; empty when none are recorded, which inherits nothing.
    evidence : mapping of str to sequence of CellEvidence
        Current results of the parent by key of the target, judged by what is asked now.
    reworked : mapping of str to sequence of Reworked
        Its readings on reworks that may have been folded in since.
    """

    revision: str
    parent: str
    changes: tuple[Change, ...] = ()
    evidence: Mapping[str, Sequence[CellEvidence]] = field(default_factory=dict)
    reworked: Mapping[str, Sequence[Reworked]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Heritage:
    """The line of a revision, nearest step first.

    Parameters
    ----------
    steps : tuple of Step
        From the revision to its parent, from that to its own, and so on.
    needs : mapping of str to collection of str
        What each subsystem depends on directly.
    arguments : mapping of str to Argument
        Targets carried over by hand.
    """

    steps: tuple[Step, ...] = ()
    needs: Mapping[str, Collection[str]] = field(default_factory=dict)
    arguments: Mapping[str, Argument] = field(default_factory=dict)
