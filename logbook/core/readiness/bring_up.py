"""What to do on the first board of a revision, stage by stage."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from logbook.core.graph import closure, dependency_order
from logbook.core.state import State

UNPOWERED = "before power"
STRESS = "what may hurt the board"
OPEN = frozenset(
    {
        State.FAILING,
        State.MARGINAL,
        State.PARTLY_VERIFIED,
        State.SEEN_WORKING,
        State.STALE,
        State.BLOCKED,
        State.NEVER_TRIED,
    }
)


class Cause(StrEnum):
    """Why a target is in the plan."""

    OPEN = "open"
    ALWAYS = "always on a new board"
    NEEDED = "needed first"


@dataclass(frozen=True, slots=True)
class PlanTarget:
    """One target, as far as the plan asks.

    Parameters
    ----------
    key, subsystem : str
        Of the target; the subsystem names its stage.
    state : State
        On the revision.
    needs : tuple of str
        What it needs directly, all of it in the plan's question.
    minutes, waiting_minutes : int
        For all its points, on one board.
    needs_power, stresses_board : bool
        Whether the board must be powered, and may suffer.
    always : bool
        Whether it is read again on every new board, whatever its state.
    """

    key: str
    subsystem: str
    state: State
    needs: tuple[str, ...]
    minutes: int
    waiting_minutes: int
    needs_power: bool
    stresses_board: bool
    always: bool


@dataclass(frozen=True, slots=True)
class Step:
    """One target of the plan: why it is there, and for which others."""

    target: PlanTarget
    cause: Cause
    needed_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Stage:
    """Steps that belong together, with their minutes."""

    name: str
    steps: tuple[Step, ...]

    @property
    def minutes(self) -> int:
        """Hands-on minutes."""
        return sum(step.target.minutes for step in self.steps)

    @property
    def waiting_minutes(self) -> int:
        """Minutes of waiting besides."""
        return sum(step.target.waiting_minutes for step in self.steps)


def bring_up_stages(targets: Sequence[PlanTarget], subsystems: Sequence[str]) -> tuple[Stage, ...]:
    """What to do on the first board of a revision, in an order that can be done.

    Parameters
    ----------
    targets : sequence of PlanTarget
        Every target of the revision that applies.
    subsystems : sequence of str
        Their subsystems, each after what it depends on.

    Returns
    -------
    tuple of Stage
        First what needs no power, then subsystem by subsystem, last what may hurt the board. A subsystem
        comes twice where something between needs the first part of it.

    Raises
    ------
    GraphError
        When prerequisites are unknown or run in a circle.

    Notes
    -----
    In the plan is what is open on the revision, what is read again on every new board, and all that either
    needs, directly or not: that a rail was good on an older board does not make it safe to go on with this
    one. What does not apply, and what is verified, carried over or waived and needed by nothing, is not.

    References
    ----------
    Unpowered before powered, supplies before what they feed, and stress last: common practice.
    """
    known = {one.key: one for one in targets}
    all_needs = closure({one.key: one.needs for one in targets})
    wanted = [one.key for one in targets if one.state in OPEN or one.always]
    chosen = set(wanted).union(*(all_needs[key] for key in wanted))
    needed_by = {key: tuple(one for one in wanted if key in all_needs[one]) for key in chosen}
    place = {name: number for number, name in enumerate(subsystems)}
    needs = {one.key: [key for key in one.needs if key in chosen] for one in targets if one.key in chosen}
    ranks = {key: _rank(known[key], place, needs_power=_needs_power(key, known, all_needs)) for key in needs}
    steps = [_step(known[key], needed_by[key]) for key in dependency_order(needs, key=ranks.__getitem__)]
    return tuple(_stages(steps, {key: _stage_name(known[key], rank) for key, rank in ranks.items()}))


def _needs_power(key: str, known: dict[str, PlanTarget], needs: dict[str, frozenset[str]]) -> bool:
    return any(known[one].needs_power for one in (key, *needs[key]))


def _rank(target: PlanTarget, place: dict[str, int], *, needs_power: bool) -> tuple[bool, bool, int]:
    return target.stresses_board, needs_power, place.get(target.subsystem, len(place))


def _stage_name(target: PlanTarget, rank: tuple[bool, bool, int]) -> str:
    stresses, needs_power, _ = rank
    if stresses:
        return STRESS
    return target.subsystem if needs_power else UNPOWERED


def _step(target: PlanTarget, needed_by: tuple[str, ...]) -> Step:
    if target.state in OPEN:
        return Step(target, Cause.OPEN, needed_by)
    return Step(target, Cause.ALWAYS if target.always else Cause.NEEDED, needed_by)


def _stages(steps: Iterable[Step], names: dict[str, str]) -> Iterable[Stage]:
    for name, group in groupby(steps, key=lambda step: names[step.target.key]):
        yield Stage(name, tuple(group))
