"""What a revision lacks before it is ready to order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from logbook.core.risk import Held, Hold, Level, RiskKind, SubjectKind

IN_THE_WAY = frozenset({Level.HIGH, Level.SERIOUS})
MUST = "must"


class Ground(StrEnum):
    """Why something stands in the way."""

    UNDECIDED = "not decided"
    WAITING = "test first, not read yet"
    REOPENED = "decision open again"
    UNNAMED = "decided to change, no change named"
    NOT_IN_FILES = "decided to change, not in the files"
    LAPSED = "acceptance lapsed"
    UNANSWERED = "lesson not answered"


GROUNDS = {
    Hold.LAPSED: Ground.LAPSED,
    Hold.WAITING: Ground.WAITING,
    Hold.REOPENED: Ground.REOPENED,
    Hold.UNNAMED: Ground.UNNAMED,
}


@dataclass(frozen=True, slots=True)
class OpenRisk:
    """One row of the open-risk list, as far as readiness asks.

    Parameters
    ----------
    subject_kind : SubjectKind
        What it is about.
    subject, title : str
        Key and name of that.
    level : Level
        The worse of function and harm.
    kind, reason, closes : str
        Why the row is there, and what would close it.
    is_grave : bool
        Whether it can damage something or harm people above Low.
    held : Held or None
        Whether the decision on it holds; None without a decision.
    not_in_files : str
        Why the change decided for it is not in the files of this revision; empty where it is, or none is.
    """

    subject_kind: SubjectKind
    subject: str
    title: str
    level: Level
    kind: str
    reason: str
    closes: str
    is_grave: bool
    held: Held | None
    not_in_files: str = ""


@dataclass(frozen=True, slots=True)
class LessonAsked:
    """One accepted lesson that applies to the revision.

    Parameters
    ----------
    key, rule, firmness : str
        Of the lesson; must, should or consider.
    is_answered : bool
        Whether the revision has answered it, with whatever word.
    """

    key: str
    rule: str
    firmness: str
    is_answered: bool


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that is missing.

    Parameters
    ----------
    ground : Ground
        Why it stands in the way.
    subject_kind : SubjectKind
        What it is about.
    subject, kind : str
        Key of that, and the kind of its row.
    what, reason, settled_by : str
        One line each: what is missing, why, and what would settle it.
    """

    ground: Ground
    subject_kind: SubjectKind
    subject: str
    kind: str
    what: str
    reason: str
    settled_by: str


def gaps_of(risks: Iterable[OpenRisk], lessons: Iterable[LessonAsked]) -> tuple[Gap, ...]:
    """What a revision lacks before it is ready to order.

    Parameters
    ----------
    risks : iterable of OpenRisk
        Every row of its open-risk list, in the order of the list.
    lessons : iterable of LessonAsked
        Every accepted lesson that applies to it.

    Returns
    -------
    tuple of Gap
        Empty where it is ready. Risks first, in their order, then lessons; no subject twice.

    Notes
    -----
    In the way are: a High or Serious row without a decision that holds, one decided for a change that is not
    in the files yet, an acceptance that has lapsed at whatever level, and a *must* that nobody answered. An
    accepted row does not answer the lesson behind it.

    References
    ----------
    The levels are those of MIL-STD-882E (2012), Table III; that High and Serious need a decision is
    judgement.

    Examples
    --------
    >>> gaps_of([], [LessonAsked("SLK-L2", "Check every library pin-out", "must", False)])[0].reason
    'a must that applies here and that nobody answered'
    """
    owed = [one for one in lessons if one.firmness == MUST and not one.is_answered]
    told = {(SubjectKind.LESSON, one.key) for one in owed}
    gaps = [
        _of_risk(one) for one in risks if _is_in_the_way(one) and (one.subject_kind, one.subject) not in told
    ]
    return (*gaps, *(_of_lesson(one) for one in owed))


def _is_in_the_way(risk: OpenRisk) -> bool:
    if risk.held is not None and risk.held.is_valid:
        return bool(risk.not_in_files) and risk.level in IN_THE_WAY
    return risk.level in IN_THE_WAY or (risk.held is not None and risk.held.hold is Hold.LAPSED)


def _of_risk(risk: OpenRisk) -> Gap:
    ground, reason = _ground(risk)
    what = f"{risk.level} risk: {risk.subject} {risk.title}"
    settled_by = _settled_by(risk, ground)
    return Gap(ground, risk.subject_kind, risk.subject, risk.kind, what, reason, settled_by)


def _ground(risk: OpenRisk) -> tuple[Ground, str]:
    if risk.held is None:
        return Ground.UNDECIDED, f"{risk.kind}: {risk.reason}"
    if risk.held.is_valid:
        return Ground.NOT_IN_FILES, risk.not_in_files
    return GROUNDS[risk.held.hold], risk.held.because


def _settled_by(risk: OpenRisk, ground: Ground) -> str:
    if ground is Ground.WAITING:
        return risk.closes
    if ground is Ground.NOT_IN_FILES:
        return f"draw the change and move it to in the files; or {risk.closes}"
    words = "change it or accept it by name" if risk.is_grave else "change, accept or defer it"
    return f"{words}; or {risk.closes}"


def _of_lesson(lesson: LessonAsked) -> Gap:
    return Gap(
        Ground.UNANSWERED,
        SubjectKind.LESSON,
        lesson.key,
        str(RiskKind.LESSON_NOT_ANSWERED),
        f"Lesson {lesson.key}: {lesson.rule}",
        "a must that applies here and that nobody answered",
        "answer it: heeded, not applicable or overruled, with a reason",
    )
