"""What the state of a target is decided on: its facts, and the current result of each of its cells."""

from __future__ import annotations

import math
from dataclasses import dataclass

from logbook.core.errors import EvidenceError
from logbook.core.verdict import Verdict

OUTCOMES = frozenset({"number", "yes_no", "count", "seen working", "not working", "inconclusive"})
VERDICTS = frozenset(str(verdict) for verdict in Verdict)


@dataclass(frozen=True, slots=True)
class CellEvidence:
    """The current result of one target at one point on one board, as designed.

    Parameters
    ----------
    board : str
        Serial of the board.
    point : str
        Name of the point; empty for a target without named points.
    verdict : str or None
        Verdict word; None for an observation without one and for a cell that does not count.
    value : float or None
        The reading in the base unit of the target, when it is a number.
    standard_uncertainty : float or None
        In the same unit, ≥ 0; None where none is stated.
    undecidable : bool
        Whether no reading with that uncertainty could pass.
    outcome : str
        number, yes_no, count, seen working, not working or inconclusive. "not working" is judged as fail.
    counts : bool
        False when the cell has readings but none that counts as designed.
    not_counted : str
        Why they do not count, such as "rework RW-02 (repair) in force"; only where `counts` is False.
    text : str
        The reading as a person would write it, used in reasons; made from the value when empty.

    Raises
    ------
    EvidenceError
        When a word is unknown, a number is not finite, or verdict and `counts` contradict each other.
    """

    board: str
    point: str
    verdict: str | None
    value: float | None
    standard_uncertainty: float | None
    undecidable: bool
    outcome: str
    counts: bool = True
    not_counted: str = ""
    text: str = ""

    def __post_init__(self) -> None:
        if self.outcome not in OUTCOMES:
            raise self._error(self.outcome, ", ".join(sorted(OUTCOMES)))
        if self.verdict is not None and self.verdict not in VERDICTS:
            raise self._error(self.verdict, ", ".join(sorted(VERDICTS)))
        if self.value is not None and not math.isfinite(self.value):
            raise self._error(str(self.value), "a finite number")
        u = self.standard_uncertainty
        if u is not None and not (math.isfinite(u) and u >= 0):
            raise self._error(str(u), "an uncertainty of 0 or more")
        if self.counts == bool(self.not_counted) or (self.verdict is not None and not self.counts):
            raise self._error(
                f"counts {self.counts}, verdict {self.verdict}, not counted '{self.not_counted}'",
                "either a result that counts, or the reason why none does and no verdict",
            )

    @property
    def judged_as(self) -> str | None:
        """The verdict word, where seeing it not work is a fail like any other."""
        return str(Verdict.FAIL) if self.outcome == "not working" and self.counts else self.verdict

    def _error(self, given: str, allowed: str) -> EvidenceError:
        cell = f"board {self.board}" + (f", point {self.point}" if self.point else "")
        return EvidenceError(f"{cell}: {given} is not {allowed}.", given=given, allowed=allowed, where=cell)


@dataclass(frozen=True, slots=True)
class TargetFacts:
    """What is asked of one target on this revision.

    Parameters
    ----------
    key : str
        Key of the target.
    subsystem : str
        Name of its subsystem.
    points : tuple of str
        Points to be read, at least one; ("",) for a target without named points.
    boards_needed : int
        How many boards must show it, at least 1.
    kind : str
        Kind of its limits, as the target states it.
    low, high : float or None
        Limits in the base unit; None where there is none.
    nominal : float or None
        What was designed for, in the base unit.
    logarithmic : bool
        Whether the unit is a level such as dB.
    option_not_fitted : str
        Name of the option that is not fitted on this revision; empty when it is fitted or there is none.
    prerequisites : tuple of str
        Keys of the targets it needs first.
    unit : str
        Sign of the base unit, used in reasons.
    limits_text : str
        The limits as a person wrote them, used in reasons; made from the numbers when empty.
    decided_not_applicable : str
        Who decided that it does not apply on this revision, and why; empty when nobody did.

    Raises
    ------
    EvidenceError
        When there is no point, a point is named twice, or no board is asked for.
    """

    key: str
    subsystem: str
    points: tuple[str, ...]
    boards_needed: int
    kind: str
    low: float | None
    high: float | None
    nominal: float | None = None
    logarithmic: bool = False
    option_not_fitted: str = ""
    prerequisites: tuple[str, ...] = ()
    unit: str = ""
    limits_text: str = ""
    decided_not_applicable: str = ""

    def __post_init__(self) -> None:
        if not self.points or len(set(self.points)) != len(self.points):
            raise self._error(f"points {self.points}", "at least one point, each once")
        if self.boards_needed < 1:
            raise self._error(f"{self.boards_needed} boards", "1 board or more")

    def _error(self, given: str, allowed: str) -> EvidenceError:
        return EvidenceError(
            f"{self.key}: {given} where {allowed} is needed.", given=given, allowed=allowed, where=self.key
        )
