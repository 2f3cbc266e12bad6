"""Decisions on rows of the open-risk list: what each must say, and whether it still holds."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from logbook.core.risk.fingerprint import KIND, Fingerprint, differences, has_new_reading
from logbook.core.risk.kinds import RiskKind


class Decision(StrEnum):
    """What is to be done about a row for the next spin."""

    CHANGE = "change"
    TEST_FIRST = "test first"
    ACCEPT = "accept"
    DEFER = "defer"


class Hold(StrEnum):
    """Whether a decision still holds."""

    STANDS = "stands"
    WAITING = "waiting for its reading"
    LAPSED = "lapsed"
    REOPENED = "open again"
    UNNAMED = "no change named yet"


# What a reading has to leave behind to settle "test first".
UNSETTLED = frozenset({str(RiskKind.FAILING), str(RiskKind.MARGINAL), str(RiskKind.UNDECIDABLE)})


@dataclass(frozen=True, slots=True)
class Decided:
    """One decision, as it was recorded.

    Parameters
    ----------
    decision : Decision
        The word.
    revision : str
        Label of the revision it was made on.
    owner, reason : str
        Who answers for it, and why.
    expires_on : date or None
        Last day an acceptance holds.
    expires_with : str
        Label of the revision an acceptance ends with, descendants included; empty for none.
    reopens_with : str
        Label of the revision that brings a deferred row back; empty for none.
    facts : mapping of str to str
        Fingerprint of the row as it was decided on.
    change : str
        The change that is to fix it, such as "F-18 of D"; empty where none is named.
    change_withdrawn : bool
        Whether that change was withdrawn since.
    """

    decision: Decision
    revision: str
    owner: str = ""
    reason: str = ""
    expires_on: date | None = None
    expires_with: str = ""
    reopens_with: str = ""
    facts: Fingerprint = field(default_factory=dict)
    change: str = ""
    change_withdrawn: bool = False


@dataclass(frozen=True, slots=True)
class Held:
    """Whether a decision holds, and in one line why not.

    Parameters
    ----------
    hold : Hold
        The word.
    because : str
        Empty where it stands, or waits with nothing else changed.
    """

    hold: Hold
    because: str = ""

    @property
    def is_valid(self) -> bool:
        """Whether the row counts as decided."""
        return self.hold is Hold.STANDS


def decision_problems(
    decided: Decided, *, is_grave: bool, line: Collection[str], today: date
) -> dict[str, str]:
    """What a decision lacks, by the field that lacks it.

    Parameters
    ----------
    decided : Decided
        The decision.
    is_grave : bool
        Whether the row is S1 or its harm above Low.
    line : collection of str
        Labels of the revision and its ancestors.
    today : date
        The day it is made.

    Returns
    -------
    dict of str to str
        Empty where nothing is wrong.

    Notes
    -----
    An acceptance without an end is never looked at again, and one without a name belongs to nobody.

    Examples
    --------
    >>> decision_problems(Decided(Decision.DEFER, "C"), is_grave=False, line=["C"], today=date(2024, 1, 1))
    {'reopens_with': 'a deferred row needs the revision that brings it back'}
    """
    if decided.decision is Decision.ACCEPT:
        return _acceptance_problems(decided, line, today)
    if decided.decision is not Decision.DEFER:
        return {}
    if is_grave:
        rule = "what can damage the board or harm people is changed, tested first or accepted, not deferred"
        return {"decision": rule}
    if not decided.reopens_with:
        return {"reopens_with": "a deferred row needs the revision that brings it back"}
    if decided.reopens_with in line:
        return {"reopens_with": f"revision {decided.reopens_with} is already here; it needs a later one"}
    return {}


def _acceptance_problems(decided: Decided, line: Collection[str], today: date) -> dict[str, str]:
    problems = {}
    if not decided.owner:
        problems["owner"] = "an acceptance needs the name of a person who answers for it"
    if not decided.reason:
        problems["reason"] = "an acceptance needs a reason"
    if decided.expires_on is None and not decided.expires_with:
        problems["expires_on"] = "an acceptance ends on a day or with a revision"
    if decided.expires_on is not None and decided.expires_on < today:
        problems["expires_on"] = f"{decided.expires_on} is already over"
    if decided.expires_with in line:
        problems["expires_with"] = f"revision {decided.expires_with} is already here; it needs a later one"
    return problems


def holds(
    decided: Decided, now: Fingerprint | None, *, is_grave: bool, line: Collection[str], day: date
) -> Held:
    """Whether a decision holds for a row as it stands.

    Parameters
    ----------
    decided : Decided
        The decision, of the revision itself or of an ancestor.
    now : mapping of str to str or None
        Fingerprint of the row; None where the row is gone.
    is_grave : bool
        Whether the row is S1 or its harm above Low.
    line : collection of str
        Labels of the revision and its ancestors.
    day : date
        The day asked about.

    Returns
    -------
    Held
        Lapsed when its day or revision has come, open again when a fact differs, and so on.

    Notes
    -----
    *Test first* waits for its reading; once that stands, the row is decided by what it leaves: not where
    it fails or is marginal, and not where damage or harm is at stake, which takes a change or an acceptance.
    *Change* decides nothing until it names a change, and no longer once that is withdrawn.

    Examples
    --------
    >>> accepted = Decided(Decision.ACCEPT, "B", "iv", "runs cool enough", expires_with="D")
    >>> holds(accepted, {}, is_grave=False, line=["D", "C", "B"], day=date(2024, 11, 14)).because
    'accepted by iv until revision D, which is here'
    """
    ended = _ended(decided, line, day)
    if ended:
        return Held(Hold.LAPSED if decided.decision is Decision.ACCEPT else Hold.REOPENED, ended)
    if decided.decision is Decision.CHANGE and (not decided.change or decided.change_withdrawn):
        return _without_change(decided)
    if now is None:
        return Held(Hold.STANDS)
    if decided.decision is Decision.DEFER and is_grave:
        return Held(Hold.REOPENED, "it can now damage or harm, so it may not be deferred")
    changed = differences(decided.facts, now)
    if decided.decision is Decision.TEST_FIRST:
        return _tested(decided, now, changed, is_grave=is_grave)
    return Held(Hold.REOPENED, "; ".join(changed)) if changed else Held(Hold.STANDS)


def _ended(decided: Decided, line: Collection[str], day: date) -> str:
    if decided.decision is Decision.ACCEPT:
        by = f"accepted by {decided.owner} until"
        if decided.expires_on is not None and day > decided.expires_on:
            return f"{by} {decided.expires_on.isoformat()}, which is over"
        if decided.expires_with and decided.expires_with in line:
            return f"{by} revision {decided.expires_with}, which is here"
    if decided.decision is Decision.DEFER and decided.reopens_with in line:
        return f"deferred on {decided.revision} until revision {decided.reopens_with}, which is here"
    return ""


def _without_change(decided: Decided) -> Held:
    if decided.change:
        return Held(Hold.REOPENED, f"change {decided.change} was withdrawn")
    return Held(Hold.UNNAMED, "decided to change it, but no change is named")


def _tested(decided: Decided, now: Fingerprint, changed: tuple[str, ...], *, is_grave: bool) -> Held:
    if not has_new_reading(decided.facts, now):
        return Held(Hold.WAITING, "; ".join(changed))
    if now[KIND] in UNSETTLED or is_grave:
        return Held(Hold.REOPENED, "; ".join(changed))
    return Held(Hold.STANDS)


def carries_over(decision: Decision) -> bool:
    """Whether a decision made on an ancestor counts on its descendants until its end.

    Parameters
    ----------
    decision : Decision
        The word.

    Returns
    -------
    bool
        An acceptance and a deferral name their end; a change and a test belong to one revision.
    """
    return decision in (Decision.ACCEPT, Decision.DEFER)
