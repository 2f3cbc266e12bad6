"""Deciding rows of the open-risk list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.db import transaction
from django.utils import timezone

from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.common.withdrawing import withdraw
from logbook.core.risk import Decided, Decision, decision_problems
from logbook.planning.models import Disposition
from logbook.planning.queries.risks import RiskRow, open_risks_of
from logbook.projects.models import Change, Revision
from logbook.projects.queries import lineages

MOST_ROWS = 500
# Which decision each of the other fields belongs to.
BELONGS_TO = {
    "expires_on": Decision.ACCEPT,
    "expires_with": Decision.ACCEPT,
    "reopens_with": Decision.DEFER,
    "change": Decision.CHANGE,
}


class RiskSubject(NamedTuple):
    """Names a row: what it is about and, only where that has two rows, of which kind it is."""

    subject_kind: str
    subject: str
    kind: str = ""


@dataclass(frozen=True)
class _Given:
    decision: Decision
    owner: str
    reason: str
    expires_on: date | None
    expires_with: str
    reopens_with: str
    change: Change | None


@transaction.atomic
def decide_risks(
    *,
    actor: Actor,
    revision: Revision,
    rows: Sequence[RiskSubject],
    decision: str,
    owner: str = "",
    reason: str = "",
    expires_on: date | None = None,
    expires_with: str = "",
    reopens_with: str = "",
    change: Change | None = None,
) -> list[Disposition]:
    """Decide one or several rows alike; each keeps the facts it is decided on.

    An acceptance needs owner, reason and an end, a deferral the revision that brings the row back. Labels of
    revisions need not exist yet.
    """
    given = _Given(
        _word(decision), owner.strip(), reason.strip(), expires_on, expires_with, reopens_with, change
    )
    _check_fields(given, revision)
    found = _rows_named(revision, rows)
    _check_rows(given, revision, found)
    return [_stored(actor, revision, row, given) for row in found]


@transaction.atomic
def withdraw_disposition(*, actor: Actor, disposition: Disposition, because: str) -> Disposition:
    """Withdraw a decision with a reason; its row is undecided again."""
    withdraw(disposition, because=because, actor=actor, project_id=disposition.revision.project_id)
    return disposition


def _word(decision: str) -> Decision:
    if decision not in list(Decision):
        allowed = ", ".join(Decision)
        message = f"no decision {decision!r}"
        raise InvalidInputError.of("decision", message, given=decision, allowed=allowed)
    return Decision(decision)


def _check_fields(given: _Given, revision: Revision) -> None:
    for name, decision in BELONGS_TO.items():
        if getattr(given, name) and given.decision is not decision:
            message = f"only {decision} has this, not {given.decision}"
            raise InvalidInputError.of(name, message, given=getattr(given, name), allowed="nothing here")
    change = given.change
    if change is None:
        return
    if change.withdrawn_at is not None:
        raise InvalidInputError.of("change", f"change {change} was withdrawn", given=change.key)
    if revision.pk not in lineages(revision.project).get(change.revision_id, ()):
        message = f"change {change} is of revision {change.revision}"
        allowed = f"changes of {revision} and of what descends from it"
        raise InvalidInputError.of("change", message, given=change.key, allowed=allowed)


def _rows_named(revision: Revision, named: Sequence[RiskSubject]) -> list[RiskRow]:
    """Return the rows as they stand now, in the order named, each once."""
    if not 0 < len(named) <= MOST_ROWS:
        message = "name the rows that are decided"
        raise InvalidInputError.of("rows", message, given=len(named), allowed=f"1 to {MOST_ROWS} rows")
    there = open_risks_of(revision).rows
    found = {row.matter: row for one in named for row in [_row_named(there, one)]}
    return list(found.values())


def _row_named(rows: Sequence[RiskRow], named: RiskSubject) -> RiskRow:
    mine = [row for row in rows if (row.subject_kind, row.subject) == named[:2]]
    fitting = [row for row in mine if named.kind in ("", row.kind)]
    if len(fitting) == 1:
        return fitting[0]
    what = f"{named.subject_kind} {named.subject}"
    if not mine:
        message = f"no open risk about {what}; a target that an open finding names is decided with that"
        raise InvalidInputError.of("rows", message, given=named.subject)
    kinds = ", ".join(row.kind for row in mine)
    message = f"{what} has rows of these kinds: {kinds}; name one"
    raise InvalidInputError.of("rows", message, given=named.kind or named.subject, allowed=kinds)


def _check_rows(given: _Given, revision: Revision, rows: Sequence[RiskRow]) -> None:
    line = _labels(revision)
    today = timezone.localtime(clock.now()).date()
    problems: dict[str, FieldProblem] = {}
    for row in rows:
        decided = _decided(given, revision, row)
        for name, message in decision_problems(
            decided, is_grave=row.is_grave, line=line, today=today
        ).items():
            text = f"{row.subject}: {message}" if name == "decision" else message
            problems.setdefault(name, FieldProblem(name, text, str(getattr(given, name) or "")))
    if problems:
        summary = "; ".join(problem.message for problem in problems.values())
        raise InvalidInputError(summary, problems=list(problems.values()))


def _labels(revision: Revision) -> tuple[str, ...]:
    line = lineages(revision.project)[revision.pk]
    return tuple(Revision.objects.filter(pk__in=line).values_list("label", flat=True))


def _decided(given: _Given, revision: Revision, row: RiskRow) -> Decided:
    return Decided(
        given.decision,
        revision.label,
        given.owner,
        given.reason,
        given.expires_on,
        given.expires_with,
        given.reopens_with,
        row.fingerprint,
    )


def _stored(actor: Actor, revision: Revision, row: RiskRow, given: _Given) -> Disposition:
    disposition = Disposition(
        revision=revision,
        subject_kind=row.subject_kind,
        subject=row.subject,
        kind=row.kind,
        decision=str(given.decision),
        owner=given.owner,
        reason=given.reason,
        expires_on=given.expires_on,
        expires_with=given.expires_with,
        reopens_with=given.reopens_with,
        change=given.change,
        fingerprint=row.fingerprint,
        told=row.reason[:2_000],
        by=actor.user.username if actor.user else "",
        recorded_at=clock.now(),
        recorded_by=actor.user,
    )
    store_new(disposition, actor=actor, project_id=revision.project_id)
    return disposition
