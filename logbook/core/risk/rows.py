"""The open-risk list: one row for each open reason why the next spin may fail."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from logbook.core import graph
from logbook.core.errors import RiskError
from logbook.core.risk.closing import closes, closes_calibration
from logbook.core.risk.kinds import KIND_OF_STATE, RiskKind, SubjectKind
from logbook.core.risk.probability import (
    BaseRate,
    Probability,
    base_basis,
    base_probability,
    probability_of_failure,
)
from logbook.core.risk.row import Overdue, Risk, Stakes, Subject, risk_row
from logbook.core.risk.scales import FUNCTION_BANDS, HOURS_SAVED, Harm, ProbabilityBands, Severity
from logbook.core.state import State, StateOfTarget, TargetFacts


def risks_of_targets(
    states: Mapping[str, StateOfTarget],
    facts: Sequence[TargetFacts],
    severities: Mapping[str, Severity],
    harms: Mapping[str, Harm | None] = MappingProxyType({}),
    bases: Mapping[str, tuple[int, int]] = MappingProxyType({}),
    fan_out: Mapping[str, int] | None = None,
    hours: Mapping[Severity, float] = HOURS_SAVED,
    *,
    function_bands: ProbabilityBands = FUNCTION_BANDS,
    out_of_calibration: Mapping[str, Overdue] = MappingProxyType({}),
) -> list[Risk]:
    """Open risks of a revision, worst first.

    Parameters
    ----------
    states : mapping of str to StateOfTarget
        State of every target, by key.
    facts : sequence of TargetFacts
        The same targets.
    severities : mapping of str to Severity
        One for every target.
    harms : mapping of str to (Harm or None)
        Only where people can come to harm.
    bases : mapping of str to (int, int)
        Failures and trials of the kind of subsystem, the target itself left out; none counts as (0, 0).
    fan_out : mapping of str to int, optional
        Targets that need each one, directly or not; found from the prerequisites when left out.
    hours : mapping of Severity to float
        Hours that finding it now saves over finding it after ordering.
    function_bands : ProbabilityBands
        Probability rows for the function level.
    out_of_calibration : mapping of str to sequence of (str, date)
        Instruments behind a target's readings and the day their calibration had run out.

    Returns
    -------
    list of Risk
        By level, then weight, then key, then kind.

    Raises
    ------
    RiskError
        When a target has no state or no severity, or a base rate is impossible.
    GraphError
        When the fan-out has to be found and prerequisites run in a circle.

    References
    ----------
    MIL-STD-882E (2012), Tables III and A-II; the function bands and hours are judgement.
    """
    needed_by = graph.fan_out({one.key: one.prerequisites for one in facts}) if fan_out is None else fan_out
    rows: list[Risk] = []
    for one in facts:
        if one.key not in states or one.key not in severities:
            raise RiskError(
                f"{one.key} has no state or no severity.", allowed="one of each a target", where=one.key
            )
        stakes = Stakes(
            severity=severities[one.key],
            harm=harms.get(one.key),
            base=BaseRate(*bases.get(one.key, (0, 0))),
            fan_out=needed_by.get(one.key, 0),
            hours=hours,
            function_bands=function_bands,
            overdue=out_of_calibration.get(one.key, ()),
        )
        rows += risk_of_target(states[one.key], one, stakes)
    return sorted(rows, key=lambda row: row.order)


def risk_of_target(state: StateOfTarget, facts: TargetFacts, stakes: Stakes) -> list[Risk]:
    """Rows of one target: one for its state where that leaves something open, one for its instruments.

    Parameters
    ----------
    state : StateOfTarget
        State of the target.
    facts : TargetFacts
        Of the same target.
    stakes : Stakes
        What is at stake with it.

    Returns
    -------
    list of Risk
        None, one or two rows.

    Raises
    ------
    RiskError
        When the base rate is impossible.
    """
    rows = []
    stands = _what_stands(state)
    kind = KIND_OF_STATE.get(stands.state)
    if kind is not None:
        if kind == RiskKind.MARGINAL and stands.undecidable:
            kind = RiskKind.UNDECIDABLE
        probability = probability_of_failure(state, facts, stakes.base)
        subject = Subject(SubjectKind.TARGET, facts.key)
        rows.append(risk_row(kind, subject, state.reason, probability, stakes, closes(stands, facts)))
    if stakes.overdue and state.state != State.NOT_APPLICABLE:
        rows.append(_calibration_row(facts.key, stakes))
    return rows


def _what_stands(state: StateOfTarget) -> StateOfTarget:
    """The state itself, or the ancestor's word it keeps: half a proof carried over is still half a proof."""
    if state.state == State.CARRIED_OVER and state.inherited is not None:
        return state.inherited.state
    return state


def _calibration_row(key: str, stakes: Stakes) -> Risk:
    """Readings of an instrument out of calibration prove nothing yet, so the base rate holds."""
    ran_out = ", ".join(f"{name} (calibration ran out on {day.isoformat()})" for name, day in stakes.overdue)
    return risk_row(
        RiskKind.OUT_OF_CALIBRATION,
        Subject(SubjectKind.TARGET, key),
        f"read with {ran_out}",
        Probability(base_probability(*stakes.base), base_basis(stakes.base)),
        stakes,
        closes_calibration([name for name, _ in stakes.overdue]),
    )
