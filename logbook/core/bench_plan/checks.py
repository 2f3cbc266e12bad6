"""A check that could be done, what it needs first, and the plan that is made of some of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from logbook.core.errors import BenchPlanError
from logbook.core.verdict import Verdict

VERDICTS = frozenset(str(verdict) for verdict in Verdict)


class CheckKey(NamedTuple):
    """One target at one point on one board; the order of keys settles ties."""

    target: str
    point: str
    board: str


@dataclass(frozen=True, slots=True)
class Need:
    """One point of a prerequisite and what it shows on the board of the check.

    Parameters
    ----------
    target, point : str
        The prerequisite and one of its points.
    found : str
        Verdict word as found on that board; empty where nothing with a verdict stands there.

    Raises
    ------
    BenchPlanError
        When the word is no verdict.
    """

    target: str
    point: str = ""
    found: str = ""

    def __post_init__(self) -> None:
        if self.found and self.found not in VERDICTS:
            raise BenchPlanError(
                f"'{self.found}' is no verdict.",
                given=self.found,
                allowed=", ".join(sorted(VERDICTS)),
                where=f"prerequisite {self.target}",
            )

    @property
    def fails(self) -> bool:
        """Whether it stands at fail or conditional fail there."""
        return bool(self.found) and Verdict(self.found).is_failing

    @property
    def is_met(self) -> bool:
        """Whether it stands at pass or conditional pass there."""
        return bool(self.found) and not self.fails


@dataclass(frozen=True, slots=True)
class Check:
    """One target to be read at one point on one board at hand.

    Parameters
    ----------
    target, point, board : str
        What to read and where.
    minutes, waiting_minutes : int
        Hands-on work, which the plan must fit, and waiting, which it need not; each 0 or more.
    probability : float
        Chance that it is out of limits, 0 to 1; 0 for a check that closes nothing by itself and is there
        only because others may need it.
    hours : float
        What finding it now saves over finding it after ordering, 0 or more.
    severity : str
        If it is out of limits, for the function.
    why : str
        Why it is open, in a few words.
    needs : tuple of Need
        Every point of every prerequisite, as found on this board.
    needs_power, stresses_board, on_reference, on_only_board : bool
        Whether the board must be powered, may suffer, is kept as the reference, and is the only one left
        to work on with nobody having decided to risk it.

    Raises
    ------
    BenchPlanError
        When a number is out of its range.
    """

    target: str
    point: str
    board: str
    minutes: int
    probability: float
    hours: float
    waiting_minutes: int = 0
    severity: str = ""
    why: str = ""
    needs: tuple[Need, ...] = ()
    needs_power: bool = True
    stresses_board: bool = False
    on_reference: bool = False
    on_only_board: bool = False

    def __post_init__(self) -> None:
        if self.minutes < 0 or self.waiting_minutes < 0:
            raise self._error(f"{self.minutes} and {self.waiting_minutes} minutes", "0 minutes or more")
        if not 0 <= self.probability <= 1:
            raise self._error(f"a probability of {self.probability}", "0 to 1")
        if not (math.isfinite(self.hours) and self.hours >= 0):
            raise self._error(f"{self.hours} hours", "a finite number of 0 hours or more")

    @property
    def key(self) -> CheckKey:
        """What it is told apart by."""
        return CheckKey(self.target, self.point, self.board)

    @property
    def buys(self) -> float:
        """Hours it buys: probability × hours saved."""
        return self.probability * self.hours

    def _error(self, given: str, allowed: str) -> BenchPlanError:
        where = f"{self.target} on board {self.board}"
        return BenchPlanError(f"{where}: {given}, not {allowed}.", given=given, allowed=allowed, where=where)


@dataclass(frozen=True, slots=True)
class PlannedCheck:
    """A check of the plan, what it buys in hours, and why it is there."""

    check: Check
    buys: float
    reason: str


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A check that is not in the plan, and why. Without a board: on none of those at hand."""

    target: str
    point: str
    board: str
    reason: str


@dataclass(frozen=True, slots=True)
class BenchPlan:
    """What to do in some minutes at the bench.

    Parameters
    ----------
    minutes : int
        Minutes of hands-on work it takes.
    buys : float
        Hours it buys.
    checks : tuple of PlannedCheck
        In the order to do them.
    left_out : tuple of LeftOut
        By key.
    """

    minutes: int
    buys: float
    checks: tuple[PlannedCheck, ...]
    left_out: tuple[LeftOut, ...]
