"""What a revision without readings of its own inherits for a target, and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from logbook.core.state import reasons
from logbook.core.state.by_readings import MARGINAL_PROBABILITY, state_by_readings
from logbook.core.state.evidence import CellEvidence, TargetFacts
from logbook.core.state.heritage import Heritage, Step
from logbook.core.state.target_state import Argument, Inherited, Link, State, StateOfTarget
from logbook.core.state.weights import REWORK_WEIGHT, ways_to_touched, weight_along, weight_of_way

# States that rest on readings taken as designed.
COUNTING = frozenset(
    {State.FAILING, State.MARGINAL, State.VERIFIED, State.PARTLY_VERIFIED, State.SEEN_WORKING}
)


@dataclass(slots=True)
class Inheritance:
    """The line of one revision, asked target by target; ways through the subsystems are searched once.

    Parameters
    ----------
    heritage : Heritage
        Line, readings, changes, dependencies and arguments.
    marginal_probability : float
        As for the revision's own readings.
    """

    heritage: Heritage
    marginal_probability: float = MARGINAL_PROBABILITY
    _ways: dict[tuple[int, frozenset[str]], dict[str, tuple[str, ...]]] = field(default_factory=dict)

    def of(self, facts: TargetFacts) -> Inherited | None:
        """Evidence of the nearest ancestor with readings that count; else of the nearest with any.

        Parameters
        ----------
        facts : TargetFacts
            Of the target, as asked on this revision.

        Returns
        -------
        Inherited or None
            None when no ancestor has a reading.

        Notes
        -----
        On one ancestor, readings on a folded-in rework are taken where they weigh more than those taken
        as designed. An argument is heard only where there is a word to carry: not for a failing target,
        for readings that do not count, or for a rework. It lapses when a change recorded since comes within
        two steps, or when what was read is no longer the same.
        """
        uncounted: Inherited | None = None
        for depth, step in enumerate(self.heritage.steps, start=1):
            options = [self._designed(facts, step, depth), *self._reworked(facts, step, depth)]
            counting = [one for one in options if one and one.state.state in COUNTING]
            if counting:
                return self._argued(facts, max(counting, key=lambda one: one.weight))
            uncounted = uncounted or options[0]
        return uncounted and self._without_word(facts, uncounted)

    def _designed(self, facts: TargetFacts, step: Step, depth: int) -> Inherited | None:
        cells = step.evidence.get(facts.key, ())
        return self._inherited(facts, cells, depth, ()) if cells else None

    def _reworked(self, facts: TargetFacts, step: Step, depth: int) -> list[Inherited]:
        folded = {
            name
            for younger in self.heritage.steps[:depth]
            for change in younger.changes
            for name in change.folds_in
        }
        return [
            self._inherited(facts, one.cells, depth, one.reworks)
            for one in step.reworked.get(facts.key, ())
            if folded.issuperset(one.reworks)
        ]

    def _inherited(
        self, facts: TargetFacts, cells: Sequence[CellEvidence], depth: int, reworks: tuple[str, ...]
    ) -> Inherited:
        line = self.heritage.steps[:depth]
        links = tuple(
            self._link(place, step, facts.subsystem, frozenset(reworks)) for place, step in enumerate(line)
        )
        weight = weight_along(link.way for link in links) * (REWORK_WEIGHT if reworks else 1.0)
        silent = next((step.revision for step in line if not step.changes), "")
        state = state_by_readings(facts, cells, self.marginal_probability)
        return Inherited(line[-1].parent, state, weight, links, reworks, silent)

    def _link(self, place: int, step: Step, subsystem: str, reworks: frozenset[str]) -> Link:
        """What a step means for a subsystem, leaving out changes that only draw what the reworks did."""
        counted = [change for change in step.changes if not change.folds_in & reworks]
        if (place, reworks) not in self._ways:
            touched = {name for change in counted for name in change.touched}
            self._ways[place, reworks] = ways_to_touched(self.heritage.needs, touched)
        way = self._ways[place, reworks].get(subsystem, ())
        keys = tuple(change.key for change in counted if way and way[-1] in change.touched)
        return Link(step.revision, step.parent, weight_of_way(way), way, keys)

    def _argued(self, facts: TargetFacts, found: Inherited) -> Inherited:
        argument = self.heritage.arguments.get(facts.key)
        if argument is None or found.reworks or found.state.state == State.FAILING:
            return found
        why = [*self._nearer_since(facts, argument), *argument.readings_since]
        if why:
            return replace(found, lapsed=reasons.lapsed(argument, why))
        return replace(found, argument=argument)

    def _without_word(self, facts: TargetFacts, found: Inherited) -> Inherited:
        """Say of an argument without a word to carry that what it rested on is gone."""
        argument = self.heritage.arguments.get(facts.key)
        if argument is None or not argument.readings_since:
            return found
        return replace(found, lapsed=reasons.lapsed(argument, argument.readings_since))

    def _nearer_since(self, facts: TargetFacts, argument: Argument) -> Iterator[str]:
        """Yield the changes recorded after an argument that come near enough to discount what it carries."""
        for step in self.heritage.steps:
            for change in step.changes:
                if (step.revision, change.key) not in argument.changes_since:
                    continue
                way = ways_to_touched(self.heritage.needs, change.touched).get(facts.subsystem, ())
                if weight_of_way(way) < 1:
                    link = Link(step.revision, step.parent, weight_of_way(way), way, (change.key,))
                    yield f"change {reasons.discount(link)}"


def inherited_state(own: StateOfTarget, found: Inherited, subsystem: str) -> StateOfTarget:
    """State of a target without readings that count here, from what an ancestor shows.

    Parameters
    ----------
    own : StateOfTarget
        From the readings here: never tried, or stale where some do not count.
    found : Inherited
        Evidence of an ancestor.
    subsystem : str
        Key of the target's subsystem.

    Returns
    -------
    StateOfTarget
        Failing, stale, carried over or, where a revision on the way records no changes, as before.
    """
    if found.silent and found.argument is None:
        if own.state == State.STALE:
            return own
        said = reasons.silent(found)
        return replace(own, reason=f"{said}; {found.lapsed}" if found.lapsed else said)
    state, reason = _word(own, found, subsystem)
    reason = f"{reason}; {found.lapsed}" if found.lapsed else reason
    return replace(own, state=state, reason=reason, inherited=found)


def _word(own: StateOfTarget, found: Inherited, subsystem: str) -> tuple[State, str]:
    word = found.state.state
    if word == State.FAILING and not found.reworks:
        if found.touched is None:
            return State.FAILING, reasons.failing_there(found, subsystem)
        return State.STALE, reasons.fix_unproven(found, subsystem)
    if found.argument is not None:
        return State.CARRIED_OVER, reasons.carried_by_hand(found)
    if own.state == State.STALE and found.weight == 1:
        return State.STALE, own.reason
    if word == State.STALE:
        return State.STALE, reasons.uncounted_there(found)
    if found.reworks:
        return State.STALE, reasons.on_rework(found)
    if found.weight < 1:
        return State.STALE, reasons.stale(found)
    return State.CARRIED_OVER, reasons.carried_over(found, subsystem)
