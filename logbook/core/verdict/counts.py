"""Verdicts on counts and on yes or no: a count is exact, so acceptance is simple."""

from __future__ import annotations

from logbook.core.errors import DecisionError, LimitError
from logbook.core.limits import Limits, format_limits
from logbook.core.verdict.judgement import Judgement, Rule
from logbook.core.verdict.verdicts import Verdict


def judge_count(limits: Limits, n: int, trials: int | None) -> Judgement:
    """Judge a count against its limits.

    Parameters
    ----------
    limits : Limits
        Limits of kind "count". Without trials ("0 errors") they limit n itself; with trials ("98 of 100")
        they limit n at the end of the trials asked for.
    n : int
        What was counted, 0 or more and not above ``trials``.
    trials : int or None
        Trials done; needed where the limits ask for a number of them.

    Returns
    -------
    Judgement
        Fails as soon as no further trial could mend it; else fewer trials than asked for leave it open.

    Raises
    ------
    LimitError
        If the limits are not limits of a count.
    DecisionError
        If n is negative or above the trials, or the trials are missing.

    Examples
    --------
    >>> from logbook.core.limits import parse_limits
    >>> judge_count(parse_limits("100 of 100"), 50, 50).reason
    '50 of 100 trials done, 50 counted'
    """
    _require_kind(limits, "count")
    if n < 0:
        raise DecisionError(f"A count cannot be {n}.", given=str(n), allowed="0 or more", where="n")
    if trials is not None and n > trials:
        raise DecisionError(f"{n} of {trials} trials.", given=str(n), allowed=f"0 to {trials}", where="n")
    if limits.trials is None:
        return _judge_plain_count(limits, n)
    if trials is None:
        raise DecisionError(
            "The number of trials is missing.",
            given="",
            allowed=f"{limits.trials} trials asked for",
            where="trials",
        )
    return _judge_trials(limits, limits.trials, n, trials)


def judge_yes_no(limits: Limits, answer: bool) -> Judgement:  # noqa: FBT001 - the answer is the value itself
    """Judge a yes or no against the answer that is expected.

    Parameters
    ----------
    limits : Limits
        Limits of kind "yes_no".
    answer : bool
        True for yes.

    Returns
    -------
    Judgement
        Pass or fail.

    Raises
    ------
    LimitError
        If the limits do not expect a yes or no.

    Examples
    --------
    >>> from logbook.core.limits import parse_limits
    >>> judge_yes_no(parse_limits("yes"), True).reason
    'yes, as expected'
    """
    _require_kind(limits, "yes_no")
    given = "yes" if answer else "no"
    if answer is limits.expected:
        return _judgement(limits, Verdict.PASS, f"{given}, as expected")
    return _judgement(limits, Verdict.FAIL, f"{given}, where {'no' if answer else 'yes'} is expected")


def _judge_plain_count(limits: Limits, n: int) -> Judgement:
    is_over = limits.high is not None and n > limits.high
    is_under = limits.low is not None and n < limits.low
    verdict = Verdict.FAIL if is_over or is_under else Verdict.PASS
    return _judgement(limits, verdict, f"counted {n}, asked for {format_limits(limits)}")


def _judge_trials(limits: Limits, asked: int, n: int, trials: int) -> Judgement:
    missed = trials - n
    counted = f"{n} of {trials}"
    if limits.low is not None and missed > asked - limits.low:
        return _judgement(
            limits, Verdict.FAIL, f"{counted}: {missed} missed, {asked - limits.low:f} of {asked} allowed"
        )
    # An upper bound of "all" is none: more trials than asked for may succeed more often.
    if limits.high is not None and n > limits.high != asked:
        return _judgement(limits, Verdict.FAIL, f"{counted}, at most {limits.high:f} of {asked} allowed")
    if trials < asked:
        return _judgement(limits, None, f"{trials} of {asked} trials done, {n} counted")
    return _judgement(limits, Verdict.PASS, f"{counted}, asked for {format_limits(limits)}")


def _judgement(limits: Limits, verdict: Verdict | None, reason: str) -> Judgement:
    rule: Rule = "none" if verdict is None else "simple"
    return Judgement(verdict, reason, rule, limits.low, limits.high, limits.unit.symbol)


def _require_kind(limits: Limits, kind: str) -> None:
    if limits.kind != kind:
        raise LimitError(
            f"'{limits.text}' is a limit of kind {limits.kind}.",
            given=limits.kind,
            allowed=kind,
            where="limits",
        )
