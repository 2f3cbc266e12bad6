"""The table of states: the first rule that fits decides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from logbook.core.errors import EvidenceError
from logbook.core.graph import dependency_order
from logbook.core.state import reasons
from logbook.core.state.by_readings import MARGINAL_PROBABILITY, state_by_readings
from logbook.core.state.evidence import CellEvidence, TargetFacts
from logbook.core.state.heritage import Heritage
from logbook.core.state.inheritance import COUNTING, Inheritance, inherited_state
from logbook.core.state.target_state import State, StateOfTarget

BLOCKING = frozenset({State.FAILING, State.NEVER_TRIED, State.BLOCKED})


def states_of_targets(
    facts: Sequence[TargetFacts],
    evidence: Mapping[str, Sequence[CellEvidence]],
    *,
    heritage: Heritage | None = None,
    marginal_probability: float = MARGINAL_PROBABILITY,
) -> dict[str, StateOfTarget]:
    """State of every target of a revision, from its own readings or, without any, from its ancestors'.

    Parameters
    ----------
    facts : sequence of TargetFacts
        All targets of the project, each once; prerequisites must be among them.
    evidence : mapping of str to sequence of CellEvidence
        Current results by key of the target; a target without an entry has none.
    heritage : Heritage, optional
        The line of ancestors with their readings and the changes in between; nothing is inherited without.
    marginal_probability : float
        From this predictive probability on, 0 to 1, passing on two boards or more is marginal.

    Returns
    -------
    dict of str to StateOfTarget
        One entry a target, in the order of `facts`.

    Raises
    ------
    EvidenceError
        When a target comes twice, evidence belongs to no target, or a cell has two results.
    GraphError
        When prerequisites run in a circle or name an unknown target.

    Notes
    -----
    A board at conditional pass is marginal even while it has points missing: the worst reading decides.
    Evidence of an ancestor is asked only where no reading here counts; a target with readings on any
    ancestor is never blocked. Waived needs a decision on the risk that follows from a state, and is never
    the answer here: `waived` lays it over the answer.

    Examples
    --------
    >>> rail = TargetFacts("RLD-2", "RLD", ("",), 1, "number", 3.234, 3.366)
    >>> cell = CellEvidence("0003", "", "pass", 3.322, 0.0005, False, "number")
    >>> states_of_targets([rail], {"RLD-2": [cell]})["RLD-2"].state
    <State.VERIFIED: 'verified'>
    """
    by_key = {target.key: target for target in facts}
    _refuse_strangers(facts, by_key, evidence)
    inheritance = Inheritance(heritage or Heritage(), marginal_probability)
    found: dict[str, StateOfTarget] = {}
    for key in dependency_order({target.key: target.prerequisites for target in facts}):
        target = by_key[key]
        blockers = [
            (needed, str(found[needed].state))
            for needed in target.prerequisites
            if found[needed].state in BLOCKING
        ]
        found[key] = _state_of(target, evidence.get(key, ()), blockers, inheritance)
    return {target.key: found[target.key] for target in facts}


def waived(beneath: StateOfTarget, decided: str) -> StateOfTarget:
    """The state of a target whose risk a person accepted.

    Parameters
    ----------
    beneath : StateOfTarget
        What its readings amount to.
    decided : str
        Who accepted it, until when and why.

    Returns
    -------
    StateOfTarget
        Waived, with the state beneath in its reason and beside it; its readings stay.

    Notes
    -----
    What needs the target stays blocked by the state beneath: an acceptance does not make a board safe.

    Examples
    --------
    >>> rail = TargetFacts("RLD-2", "RLD", ("",), 1, "number", 3.234, 3.366)
    >>> waived(states_of_targets([rail], {})["RLD-2"], "accepted by iv until revision D").reason
    'accepted by iv until revision D; beneath: never tried, no reading on any board of this revision'
    """
    reason = f"{decided}; beneath: {beneath.state}, {beneath.reason}"
    return replace(beneath, state=State.WAIVED, reason=reason, beneath=beneath.state)


def _state_of(
    facts: TargetFacts,
    cells: Sequence[CellEvidence],
    blockers: Sequence[tuple[str, str]],
    inheritance: Inheritance,
) -> StateOfTarget:
    own = state_by_readings(facts, cells, inheritance.marginal_probability)
    if facts.option_not_fitted:
        return replace(own, state=State.NOT_APPLICABLE, reason=reasons.not_fitted(facts.option_not_fitted))
    if facts.decided_not_applicable:
        reason = reasons.decided_not_applicable(facts.decided_not_applicable)
        return replace(own, state=State.NOT_APPLICABLE, reason=reason)
    if own.state in COUNTING:
        return own
    found = inheritance.of(facts)
    if found is not None:
        return inherited_state(own, found, facts.subsystem)
    if blockers and own.state == State.NEVER_TRIED:
        return replace(own, state=State.BLOCKED, reason=reasons.blocked(blockers))
    return own


def _refuse_strangers(
    facts: Sequence[TargetFacts],
    by_key: Mapping[str, TargetFacts],
    evidence: Mapping[str, Sequence[CellEvidence]],
) -> None:
    if len(by_key) != len(facts):
        keys = [target.key for target in facts]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise EvidenceError(f"Target {twice} comes twice.", given=twice, allowed="each once", where="facts")
    for key in evidence:
        if key not in by_key:
            raise EvidenceError(
                f"There is evidence for {key}, which is no target here.",
                given=key,
                allowed="targets among the facts",
                where="evidence",
            )
