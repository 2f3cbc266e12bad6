"""The state of one target: its word, its reason, and the readings it rests on, here or on an ancestor."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from logbook.core.state.boards import BoardResult, PointResults


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


@dataclass(frozen=True, slots=True)
class Link:
    """What one revision's changes mean for a target.

    Parameters
    ----------
    revision, parent : str
        The revision with the changes, and the one it descends from.
    weight : float
        0 to 1, what evidence of the parent is still worth here.
    way : tuple of str
        Subsystems from the target's to the nearest touched one; empty when none can be reached.
    changes : tuple of str
        Keys of the changes that touch the end of the way.
    """

    revision: str
    parent: str
    weight: float
    way: tuple[str, ...]
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Argument:
    """A person's reason for carrying evidence over by hand.

    Parameters
    ----------
    by : str
        Who says so.
    text : str
        Why.
    day : str
        When it was said, as a reason writes it.
    changes_since : frozenset of (str, str)
        Revision and key of every change on the way that was recorded after it.
    readings_since : tuple of str
        One line for each reading it rested on, or may rest on, that is not what it was.
    """

    by: str
    text: str
    day: str = ""
    changes_since: frozenset[tuple[str, str]] = frozenset()
    readings_since: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Inherited:
    """Evidence of the nearest ancestor that has any.

    Parameters
    ----------
    revision : str
        Label of that ancestor.
    state : StateOfTarget
        What its readings amount to under what is asked now; its word is "the ancestor's word".
    weight : float
        0 to 1, the product over the links, halved again for readings on a rework.
    links : tuple of Link
        The way back, from this revision to the ancestor.
    reworks : tuple of str
        Reworks the readings were taken on, which a change since folds in; empty for as-designed readings.
    silent : str
        Label of a revision on the way that records no changes, so that nothing is inherited; else empty.
    argument : Argument or None
        Only where the evidence is carried over by hand.
    lapsed : str
        Why an argument there was no longer holds; else empty.
    """

    revision: str
    state: StateOfTarget
    weight: float
    links: tuple[Link, ...]
    reworks: tuple[str, ...] = ()
    silent: str = ""
    argument: Argument | None = None
    lapsed: str = ""

    @property
    def touched(self) -> Link | None:
        """The first link whose changes touch the target's own subsystem."""
        return next((link for link in self.links if len(link.way) == 1), None)


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
    inherited : Inherited or None
        Evidence of an ancestor the state was decided on; None where readings here or nothing decided it.
    beneath : State or None
        The state a waived target has otherwise; None for every other.
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
    inherited: Inherited | None = None
    beneath: State | None = None
