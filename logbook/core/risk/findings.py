"""How likely a finding still harms the next spin, by how far its life has come."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

from logbook.core.errors import RiskError
from logbook.core.risk.probability import Probability


class FindingState(StrEnum):
    """Where a finding stands: the steps of its life, then the ways it may be closed without a fix."""

    SUSPECTED = "suspected"
    REPRODUCED = "reproduced"
    UNDERSTOOD = "understood"
    DECIDED = "decided"
    IN_THE_FILES = "in the files"
    BUILT = "built"
    PROVEN = "proven"
    NOT_OURS = "not ours"
    NO_FAULT_FOUND = "no fault found"
    DUPLICATE = "duplicate"
    CANNOT_REPRODUCE = "cannot reproduce"


# Judgement: three suspicions in ten turn out to be true.
SUSPECTED_CHANCE = 0.3
CLOSED = frozenset(
    {
        FindingState.NOT_OURS,
        FindingState.NO_FAULT_FOUND,
        FindingState.DUPLICATE,
        FindingState.CANNOT_REPRODUCE,
    }
)
STANDS = frozenset({FindingState.REPRODUCED, FindingState.UNDERSTOOD, FindingState.DECIDED})
FIXED_UNPROVEN = frozenset({FindingState.IN_THE_FILES, FindingState.BUILT})

_BASES: Mapping[FindingState, str] = MappingProxyType(
    {
        FindingState.SUSPECTED: "suspected: three in ten turn out to be true (judgement)",
        FindingState.PROVEN: "proven by a reading",
    }
)


def probability_of_finding(state: FindingState | str, base: float) -> Probability:
    """Chance that what was found is still there on the next spin.

    Parameters
    ----------
    state : FindingState or str
        Where the finding stands.
    base : float
        Base rate of its kind of subsystem, 0 to 1: what a fix nobody has measured yet is worth.

    Returns
    -------
    Probability
        0 to 1, and its basis: 0.3 while suspected; 1 once reproduced, understood or decided; the base rate
        while the fix is in the files or built; 0 once proven or closed.

    Raises
    ------
    RiskError
        When there is no such state, or the base rate is not within 0 to 1.

    Notes
    -----
    A decision alone changes no board: until the fix is in the files the fault is certain.

    Examples
    --------
    >>> probability_of_finding("decided", 0.25)
    Probability(value=1.0, basis='decided, and nothing in the files yet')
    >>> probability_of_finding("built", 0.25).value
    0.25
    """
    if state not in list(FindingState):
        allowed = ", ".join(FindingState)
        message = f"a finding is never '{state}'."
        raise RiskError(message, given=str(state), allowed=allowed, where="state")
    if not 0 <= base <= 1:
        message = f"{base} is no probability."
        raise RiskError(message, given=str(base), allowed="0 to 1", where="base")
    return _of(FindingState(state), base)


def _of(state: FindingState, base: float) -> Probability:
    if state in STANDS:
        return Probability(1.0, f"{state}, and nothing in the files yet")
    if state in FIXED_UNPROVEN:
        return Probability(base, f"{state}, not proven: the base rate of its kind of subsystem")
    chance = SUSPECTED_CHANCE if state == FindingState.SUSPECTED else 0.0
    return Probability(chance, _BASES.get(state, f"closed: {state}"))
