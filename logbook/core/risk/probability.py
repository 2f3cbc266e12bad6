"""How likely a target fails on the next spin, and in one line where that comes from."""

from __future__ import annotations

from typing import NamedTuple

from logbook.core.errors import RiskError
from logbook.core.risk.least import least_out_of_limits
from logbook.core.samples.predictive import prior_spread
from logbook.core.state import Inherited, PointResults, Reading, State, StateOfTarget, TargetFacts
from logbook.core.verdict import Verdict

# Beta(1, 3) prior: before any trial one target in four is expected to fail. Judgement.
PRIOR_FAILURES = 1
PRIOR_TRIALS = 4
# A third of the half-width, or three spreads with a single limit: well inside. Judgement.
COMFORTABLE_SHARE = 1 / 3
COMFORTABLE_SPREADS = 3.0
# 3.344 V is meant to be a third away from 3.366 V, and is not in binary floating point.
_ROUNDING = 1e-9

NOT_TRIED = frozenset({State.NEVER_TRIED, State.BLOCKED, State.SEEN_WORKING, State.STALE})
INHERITED = frozenset({State.FAILING, State.STALE, State.CARRIED_OVER})


class BaseRate(NamedTuple):
    """Failures and trials of the same kind of subsystem, the target itself left out."""

    failures: int = 0
    trials: int = 0


class Probability(NamedTuple):
    """A probability and one line saying where it comes from."""

    value: float
    basis: str


def base_probability(failures: int, trials: int) -> float:
    """Chance that a target fails before anything is known of it but its kind.

    Parameters
    ----------
    failures : int
        First verdicts that were a fail or conditional fail, 0 to `trials`.
    trials : int
        First as-designed verdicts of targets of the same kind of subsystem.

    Returns
    -------
    float
        (1 + failures) / (4 + trials), the mean of a Beta(1, 3) prior after the trials.

    Raises
    ------
    RiskError
        When the counts are impossible.

    References
    ----------
    A. Gelman et al., "Bayesian Data Analysis", 3rd edition (2013), chapter 2; the prior is a judgement.

    Examples
    --------
    >>> base_probability(0, 0)
    0.25
    """
    if not 0 <= failures <= trials:
        given = f"{failures} failures in {trials} trials"
        raise RiskError(f"{given} are impossible.", given=given, allowed="0 to the trials", where="base rate")
    return (PRIOR_FAILURES + failures) / (PRIOR_TRIALS + trials)


def probability_of_failure(state: StateOfTarget, facts: TargetFacts, base: BaseRate) -> Probability:
    """Chance that the next board fails this target, from readings where there are any.

    Parameters
    ----------
    state : StateOfTarget
        State of the target and the readings it was decided on.
    facts : TargetFacts
        Of the same target.
    base : BaseRate
        Failures and trials of its kind of subsystem, the target itself left out.

    Returns
    -------
    Probability
        0 to 1, and its basis.

    Raises
    ------
    RiskError
        When the base rate is impossible.

    Notes
    -----
    Each point is judged alone and the worst stands; a point never read has the base rate. Numbers:
    predictive probability, capped by the base rate while every number is a plain pass with at least a
    third of the half-width in hand (single limit: three prior spreads), and taken at its least when any
    of those comfortable readings is left out, so that one more can never raise it. Yes/no, count, and
    numbers no predictive probability exists for: (k + base) / (n + 1) for k failures on n boards. With k
    boards failing it is never less than that. Old readings that do not count weigh nothing.

    Where an ancestor's evidence decided the state, P is the chance by its readings: taken as it is while
    failing or carried over, and w × P + (1 − w) × base rate while stale. A failing target that a change
    touches has w = 0, so the base rate holds until a reading proves the fix.

    Examples
    --------
    >>> from logbook.core.state import CellEvidence, states_of_targets
    >>> rail = TargetFacts("RLD-2", "RLD", ("",), 2, "number", 3.234, 3.366)
    >>> cell = CellEvidence("0006", "", "pass", 3.317, None, False, "number")
    >>> state = states_of_targets([rail], {"RLD-2": [cell]})["RLD-2"]
    >>> round(probability_of_failure(state, rail, BaseRate()).value, 4)
    0.1207
    """
    rate = base_probability(*base)
    source = base_basis(base)
    if state.inherited is not None and state.state in INHERITED:
        return _of_ancestor(state.state, state.inherited, facts, base)
    if state.state in NOT_TRIED or not any(point.readings for point in state.points):
        return Probability(rate, source)
    found = [_of_point(point, facts, rate, source) for point in state.points]
    failing, judged = _boards(state)
    if failing:
        found.append(_of_counts(failing, judged, rate, source))
    return max(found, key=lambda probability: probability.value)


def base_basis(base: BaseRate) -> str:
    """The line that says where a base rate comes from.

    Parameters
    ----------
    base : BaseRate
        Failures and trials.

    Returns
    -------
    str
        One line with the sum in it.

    Examples
    --------
    >>> base_basis(BaseRate(2, 16))
    'base rate (1 + 2) / (4 + 16): 2 of 16 first verdicts on this kind of subsystem failed'
    """
    total = f"base rate (1 + {base.failures}) / (4 + {base.trials})"
    if not base.trials:
        return f"{total}: nothing tried yet on this kind of subsystem"
    return f"{total}: {base.failures} of {base.trials} first verdicts on this kind of subsystem failed"


def _of_ancestor(word: State, inherited: Inherited, facts: TargetFacts, base: BaseRate) -> Probability:
    old = probability_of_failure(inherited.state, facts, base)
    if word != State.STALE:
        return Probability(old.value, f"as on {inherited.revision}: {old.basis}")
    rate = base_probability(*base)
    w = inherited.weight
    value = w * old.value + (1 - w) * rate
    if not w:
        return Probability(value, base_basis(base))
    mixed = f"{w:.3g} × {old.value:.3g} + {1 - w:.3g} × {rate:.3g}"
    return Probability(value, f"{mixed}; on {inherited.revision}: {old.basis}; {base_basis(base)}")


def _of_point(point: PointResults, facts: TargetFacts, rate: float, source: str) -> Probability:
    at = f"{point.point}: " if point.point else ""
    if not point.readings:
        return Probability(rate, f"{at}not read; {source}")
    by_counts = _of_counts(*_failures(point.readings), rate, source)
    spread = prior_spread(facts.low, facts.high, nominal=facts.nominal, logarithmic=facts.logarithmic)
    if spread is None or not point.numbers:
        return Probability(by_counts.value, at + by_counts.basis)
    predicted = _of_numbers(point, facts, spread, rate, source)
    if _failures(point.readings)[0] and by_counts.value > predicted.value:
        predicted = by_counts
    return Probability(predicted.value, at + predicted.basis)


def _of_numbers(
    point: PointResults, facts: TargetFacts, spread: float, rate: float, source: str
) -> Probability:
    comfortable = [reading for reading in point.numbers if _is_comfortable(reading, facts, spread)]
    fixed = [reading for reading in point.numbers if reading not in comfortable]
    least = least_out_of_limits(_pairs(fixed), _pairs(comfortable), facts.low, facts.high, spread)
    boards = "1 board" if len(point.numbers) == 1 else f"{len(point.numbers)} boards"
    predicted = Probability(
        least, f"next board out of limits, predicted from {boards}, assumed spread {spread:.3g} {facts.unit}"
    )
    if fixed:
        return predicted
    # Without other readings the cap is the base rate; yes/no readings of the same point lower it.
    others = [reading for reading in point.readings if reading.value is None]
    cap = _of_counts(*_failures(others), rate, source) if others else Probability(rate, source)
    return min(predicted, cap, key=lambda probability: probability.value)


def _is_comfortable(reading: Reading, facts: TargetFacts, spread: float) -> bool:
    if reading.value is None or reading.verdict != Verdict.PASS:
        return False
    if facts.low is not None and facts.high is not None:
        wanted = (facts.high - facts.low) / 2 * COMFORTABLE_SHARE
    else:
        wanted = COMFORTABLE_SPREADS * spread
    margins = [
        margin
        for limit, margin in (
            (facts.low, reading.value - (facts.low or 0.0)),
            (facts.high, (facts.high or 0.0) - reading.value),
        )
        if limit is not None
    ]
    return min(margins) >= wanted * (1 - _ROUNDING)


def _of_counts(failing: int, judged: int, rate: float, source: str) -> Probability:
    boards = "board" if judged == 1 else "boards"
    basis = f"{failing} of {judged} {boards} failing: ({failing} + {rate:.3g}) / ({judged} + 1); {source}"
    return Probability((failing + rate) / (judged + 1), basis)


def _failures(readings: tuple[Reading, ...] | list[Reading]) -> tuple[int, int]:
    return sum(Verdict(reading.verdict).is_failing for reading in readings), len(readings)


def _boards(state: StateOfTarget) -> tuple[int, int]:
    judged = [board for board in state.boards if board.is_judged]
    failing = [board for board in judged if board.verdict in (Verdict.FAIL, Verdict.CONDITIONAL_FAIL)]
    return len(failing), len(judged)


def _pairs(readings: list[Reading]) -> list[tuple[float, float]]:
    return [(reading.value or 0.0, reading.standard_uncertainty) for reading in readings]
