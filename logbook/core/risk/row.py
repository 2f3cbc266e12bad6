"""One row of the open-risk list, and how its levels and its weight follow from what is at stake."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from logbook.core.risk.kinds import RiskKind, SubjectKind
from logbook.core.risk.probability import BaseRate, Probability
from logbook.core.risk.scales import (
    FUNCTION_BANDS,
    HARM_BANDS,
    HOURS_SAVED,
    Harm,
    Level,
    ProbabilityBands,
    Severity,
    level_of,
    worse_level,
)

Overdue = Sequence[tuple[str, date]]


@dataclass(frozen=True, slots=True)
class Risk:
    """One open reason why the next spin may fail.

    Parameters
    ----------
    level : Level
        The worse of the function and the harm level.
    kind : RiskKind
        Why the row is there.
    subject_kind : SubjectKind
        What it is about.
    subject : str
        Key of that.
    reason : str
        One line a person can check.
    probability : float
        0 to 1.
    probability_basis : str
        One line saying where it comes from.
    severity : Severity
        If it is out of limits, for the function.
    function_level : Level
        By severity.
    harm : Harm or None
        If it is out of limits, for people.
    harm_level : Level or None
        By harm.
    fan_out : int
        Targets that need this one, directly or not.
    closes : str
        What would close it, in one line.
    weight : float
        Probability × hours saved × (1 + fan-out).
    """

    level: Level
    kind: RiskKind
    subject_kind: SubjectKind
    subject: str
    reason: str
    probability: float
    probability_basis: str
    severity: Severity
    function_level: Level
    harm: Harm | None
    harm_level: Level | None
    fan_out: int
    closes: str
    weight: float

    @property
    def order(self) -> tuple[int, float, str, str]:
        """Place in the list: by level, then weight, then key, then kind."""
        return (self.level.rank, -self.weight, self.subject, str(self.kind))

    @property
    def is_grave(self) -> bool:
        """Whether it can damage something or harm people above Low, so that it may not be put off."""
        harms = self.harm_level is not None and self.harm_level.rank < Level.LOW.rank
        return self.severity == Severity.S1 or harms


@dataclass(frozen=True, slots=True)
class Stakes:
    """What is at stake with one subject, apart from its state.

    Parameters
    ----------
    severity : Severity
        If it is out of limits, for the function.
    harm : Harm or None
        If it is out of limits, for people.
    base : BaseRate
        Failures and trials of its kind of subsystem, the target itself left out.
    fan_out : int
        Targets that need it, directly or not.
    hours : Mapping[Severity, float]
        What finding it now saves.
    function_bands : ProbabilityBands
        Probability rows for the function level.
    overdue : sequence of (str, date)
        Instruments behind its readings whose calibration had run out, and on which day.
    """

    severity: Severity
    harm: Harm | None = None
    base: BaseRate = field(default_factory=BaseRate)
    fan_out: int = 0
    hours: Mapping[Severity, float] = field(default_factory=lambda: HOURS_SAVED)
    function_bands: ProbabilityBands = FUNCTION_BANDS
    overdue: Overdue = ()


@dataclass(frozen=True, slots=True)
class Subject:
    """What a row is about, before anything is weighed.

    Parameters
    ----------
    kind : SubjectKind
        Target, finding, lesson, option or rework.
    key : str
        Its key.
    """

    kind: SubjectKind
    key: str


def risk_row(
    kind: RiskKind, subject: Subject, reason: str, probability: Probability, stakes: Stakes, closes: str
) -> Risk:
    """The row that follows from a probability and from what is at stake.

    Parameters
    ----------
    kind : RiskKind
        Why the row is there.
    subject : Subject
        What it is about.
    reason, closes : str
        One line each.
    probability : Probability
        0 to 1, and its basis.
    stakes : Stakes
        Severity, harm, fan-out and hours.

    Returns
    -------
    Risk
        With both levels and the weight.

    References
    ----------
    MIL-STD-882E (2012), Tables III and A-II; the function bands and hours are judgement.
    """
    chance = probability.value
    function_level = level_of(chance, stakes.severity.column, stakes.function_bands)
    harm_level = None if stakes.harm is None else level_of(chance, stakes.harm.column, HARM_BANDS)
    return Risk(
        level=worse_level(function_level, harm_level),
        kind=kind,
        subject_kind=subject.kind,
        subject=subject.key,
        reason=reason,
        probability=chance,
        probability_basis=probability.basis,
        severity=stakes.severity,
        function_level=function_level,
        harm=stakes.harm,
        harm_level=harm_level,
        fan_out=stakes.fan_out,
        closes=closes,
        weight=chance * stakes.hours[stakes.severity] * (1 + stakes.fan_out),
    )
