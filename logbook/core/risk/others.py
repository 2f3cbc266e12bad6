"""Rows that follow from no target's state: findings, reworks, options, lessons and lapsed acceptances."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import NamedTuple

from logbook.core.errors import RiskError
from logbook.core.risk.findings import FIXED_UNPROVEN, STANDS, FindingState, probability_of_finding
from logbook.core.risk.kinds import RiskKind, SubjectKind
from logbook.core.risk.probability import Probability, base_basis, base_probability
from logbook.core.risk.row import Risk, Stakes, Subject, risk_row
from logbook.core.risk.scales import Severity


class Strength(NamedTuple):
    """What a lesson nobody answered stands for."""

    probability: float
    severity: Severity


# Judgement, by how firm the lesson is.
LESSON_STRENGTHS: Mapping[str, Strength] = MappingProxyType(
    {
        "must": Strength(0.25, Severity.S2),
        "should": Strength(0.1, Severity.S3),
        "consider": Strength(0.05, Severity.S4),
    }
)

_CLOSES_FINDING: Mapping[FindingState, str] = MappingProxyType(
    {
        FindingState.SUSPECTED: "reproduce it, or close it with a reason",
        FindingState.REPRODUCED: "find the cause, then decide what the next revision does about it",
        FindingState.UNDERSTOOD: "decide what the next revision does about it",
        FindingState.DECIDED: "put the fix into the files",
        FindingState.IN_THE_FILES: "build it, then a passing reading that proves it",
        FindingState.BUILT: "a passing reading that proves it",
    }
)


@dataclass(frozen=True, slots=True)
class FindingFacts:
    """What a row about a finding is made of.

    Parameters
    ----------
    key, title : str
        Of the finding.
    state : FindingState
        Where it stands.
    """

    key: str
    title: str
    state: FindingState


@dataclass(frozen=True, slots=True)
class LessonFacts:
    """What a row about a lesson is made of.

    Parameters
    ----------
    key, rule : str
        Of the lesson.
    strength : str
        must, should or consider.
    not_followed : str
        What was answered instead of heeding it; empty where nobody answered it.
    """

    key: str
    rule: str
    strength: str
    not_followed: str = ""


def risk_of_finding(finding: FindingFacts, stakes: Stakes, targets: Sequence[Risk] = ()) -> Risk | None:
    """The one row of a finding and of the targets it names.

    Parameters
    ----------
    finding : FindingFacts
        Of the finding.
    stakes : Stakes
        Severity and harm of the finding; fan-out of all its targets.
    targets : sequence of Risk
        Rows its targets have of their own.

    Returns
    -------
    Risk or None
        None once it is proven or closed. Level, chance and severity are those of the worst among the
        finding and its targets; the fan-out is the greatest.

    Raises
    ------
    RiskError
        When the base rate is impossible.

    Notes
    -----
    Chance and severity come from one and the same row: the chance of a nuisance must not meet the
    severity of something unlikely.

    Examples
    --------
    >>> fact = FindingFacts("F-13", "LDO too warm", FindingState.DECIDED)
    >>> row = risk_of_finding(fact, Stakes(Severity.S4))
    >>> row.level, row.reason
    (<Level.MEDIUM: 'Medium'>, 'LDO too warm; decided, nothing in the files yet')
    """
    if finding.state not in _CLOSES_FINDING:
        return None
    own = risk_row(
        RiskKind.OPEN_FINDING,
        Subject(SubjectKind.FINDING, finding.key),
        f"{finding.title}; {_said(finding.state)}{_named(targets)}",
        probability_of_finding(finding.state, base_probability(*stakes.base)),
        stakes,
        _CLOSES_FINDING[finding.state],
    )
    worst = min((own, *targets), key=lambda row: (row.level.rank, -row.weight))
    basis = worst.probability_basis if worst is own else f"{worst.subject}: {worst.probability_basis}"
    return replace(
        worst,
        kind=own.kind,
        subject_kind=own.subject_kind,
        subject=own.subject,
        reason=own.reason,
        probability_basis=basis,
        closes=own.closes,
        fan_out=max(row.fan_out for row in (own, *targets)),
        weight=max(row.weight for row in (own, *targets)),
    )


def _said(state: FindingState) -> str:
    if state in STANDS:
        return f"{state}, nothing in the files yet"
    return f"{state}, not proven yet" if state in FIXED_UNPROVEN else str(state)


def _named(targets: Sequence[Risk]) -> str:
    rows = [f"{row.subject} is {row.kind}" for row in sorted(targets, key=lambda row: row.subject)]
    return f"; its target{'s' if len(rows) > 1 else ''} {', '.join(rows)}" if rows else ""


def risk_of_rework(name: str, what: str, stakes: Stakes) -> Risk:
    """The row of a rework that no change makes part of the drawing.

    Parameters
    ----------
    name : str
        Key of the rework and its board.
    what : str
        What was done.
    stakes : Stakes
        The worst severity and harm among the targets of the subsystems it touches.

    Returns
    -------
    Risk
        Certain: what had to be done by hand will have to be done again.
    """
    basis = "certain: nothing in the drawing does what was done by hand"
    return risk_row(
        RiskKind.REWORK_NOT_FOLDED_IN,
        Subject(SubjectKind.REWORK, name),
        what,
        Probability(1.0, basis),
        stakes,
        "record a change that folds it in, or decide that it is not wanted",
    )


def risk_of_option(key: str, name: str, stakes: Stakes) -> Risk:
    """The row of an option whose position the revision has not decided.

    Parameters
    ----------
    key, name : str
        Of the option.
    stakes : Stakes
        The worst severity and harm among the targets of its subsystem, and the base rate of its kind.

    Returns
    -------
    Risk
        With the base rate as its probability.

    Raises
    ------
    RiskError
        When the base rate is impossible.
    """
    return risk_row(
        RiskKind.OPTION_LEFT_OPEN,
        Subject(SubjectKind.OPTION, key),
        f"{name}: no position is decided for this revision",
        Probability(base_probability(*stakes.base), base_basis(stakes.base)),
        stakes,
        "decide its position for this revision",
    )


def risk_of_lesson(lesson: LessonFacts, stakes: Stakes | None = None) -> Risk:
    """The row of a lesson that applies and was not answered, or is knowingly not followed.

    Parameters
    ----------
    lesson : LessonFacts
        Of the lesson.
    stakes : Stakes, optional
        Hours and bands of the project; its severity is not asked, it follows from the strength.

    Returns
    -------
    Risk
        Must: 0.25 at S2; should: 0.1 at S3; consider: 0.05 at S4.

    Raises
    ------
    RiskError
        When there is no such strength.

    Notes
    -----
    The three figures are judgement.

    Examples
    --------
    >>> row = risk_of_lesson(LessonFacts("SLK-L2", "Check every library pin-out", "must"))
    >>> row.probability, row.severity, row.level
    (0.25, <Severity.S2: 'S2'>, <Level.HIGH: 'High'>)
    """
    if lesson.strength not in LESSON_STRENGTHS:
        message = f"a lesson is never '{lesson.strength}'."
        allowed = ", ".join(LESSON_STRENGTHS)
        raise RiskError(message, given=lesson.strength, allowed=allowed, where="strength")
    chance, severity = LESSON_STRENGTHS[lesson.strength]
    why = lesson.not_followed or "not answered for this revision"
    return risk_row(
        RiskKind.LESSON_NOT_ANSWERED,
        Subject(SubjectKind.LESSON, lesson.key),
        f"{lesson.rule}; {why}",
        Probability(chance, f"a lesson that is a '{lesson.strength}', unheeded (judgement)"),
        replace(stakes or Stakes(severity), severity=severity, harm=None, fan_out=0),
        "answer it: heeded, not applicable or overruled, with a reason",
    )


def risk_of_lapsed(subject: Subject, because: str, probability: Probability, stakes: Stakes) -> Risk:
    """The row of an acceptance that has run out where nothing else is open any more.

    Parameters
    ----------
    subject : Subject
        What was accepted.
    because : str
        When and why it lapsed.
    probability : Probability
        Chance that it is out of limits, as it stands now.
    stakes : Stakes
        What is at stake with it.

    Returns
    -------
    Risk
        One row.
    """
    closes = "withdraw the acceptance, or decide anew"
    return risk_row(RiskKind.ACCEPTANCE_LAPSED, subject, because, probability, stakes, closes)
