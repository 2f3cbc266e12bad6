"""Decisions on rows of the open-risk list: which one counts on a revision, and whether it holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from django.db.models import QuerySet

from logbook.common.errors import NotFoundError
from logbook.core.risk import Decided, Decision, Held, RiskKind, carries_over
from logbook.planning.models import Disposition
from logbook.planning.queries.known import known_at
from logbook.projects.models import Change, Revision


class Matter(NamedTuple):
    """What a decision is about: a subject, or the instruments behind it."""

    subject_kind: str
    subject: str
    about_instruments: bool


@dataclass(frozen=True)
class HeldDisposition:
    """A decision and whether it holds on the revision asked about."""

    record: Disposition
    held: Held

    @property
    def is_valid(self) -> bool:
        """Say whether the row counts as decided."""
        return self.held.is_valid

    @property
    def end(self) -> str:
        """Return when an acceptance or a deferral ends, in words."""
        return end_of(self.record)

    @property
    def says(self) -> str:
        """Return what was decided and by whom, in one line."""
        return decision_in_words(self.record)


def end_of(row: Disposition) -> str:
    """Return when an acceptance or a deferral ends, in words."""
    ends = [f"until {row.expires_on.isoformat()}"] if row.expires_on else []
    ends += [f"until revision {label}" for label in (row.expires_with, row.reopens_with) if label]
    return " or ".join(ends)


def decision_in_words(row: Disposition) -> str:
    """Return what was decided, who answers for it, until when and why, in one line."""
    change = f" {row.change} of {row.change.revision}" if row.change else ""
    owner = f" by {row.owner}" if row.owner else ""
    reason = f": {row.reason}" if row.reason else ""
    return f"{row.decision}{change}{owner} {end_of(row)}".rstrip() + reason


def matter_of(row: Disposition) -> Matter:
    """Return what a stored decision is about."""
    return Matter(row.subject_kind, row.subject, RiskKind(row.kind).is_about_instruments)


def decided_of(row: Disposition, revision: str, until: datetime | None = None) -> Decided:
    """Return a stored decision as the core knows it, with what became of its change by then."""
    change = row.change
    return Decided(
        decision=Decision(row.decision),
        revision=revision,
        owner=row.owner,
        reason=row.reason,
        expires_on=row.expires_on,
        expires_with=row.expires_with,
        reopens_with=row.reopens_with,
        facts=row.fingerprint,
        change=f"{change} of {change.revision}" if change else "",
        change_withdrawn=change is not None and not _stands(change, until),
    )


def dispositions_on(line: Sequence[int], until: datetime | None) -> dict[Matter, Disposition]:
    """Return the decision that counts for each matter on the first revision of a line. One query.

    That of the revision itself, else the nearest ancestor's where it carries over. The latest on a revision
    counts, so that a withdrawn one leaves the matter undecided there.
    """
    return dispositions_in(disposition_rows(line, until), line, until)


def disposition_rows(line: Sequence[int], until: datetime | None) -> list[Disposition]:
    """Return every decision on the revisions of a line, oldest first. One query."""
    rows = known_at(Disposition.objects.filter(revision_id__in=line), until)
    return list(rows.select_related("revision", "change__revision").order_by("id"))


def dispositions_in(
    rows: Iterable[Disposition], line: Sequence[int], until: datetime | None
) -> dict[Matter, Disposition]:
    """Return the decision that counts for each matter on a line; rows of other revisions are passed over."""
    latest: dict[int, dict[Matter, Disposition]] = {pk: {} for pk in line}
    for row in rows:
        if row.revision_id in latest:
            latest[row.revision_id][matter_of(row)] = row
    found: dict[Matter, Disposition] = {}
    settled: set[Matter] = set()
    for place, revision_id in enumerate(line):
        for matter, row in latest[revision_id].items():
            if matter in settled or not _stands(row, until):
                continue
            settled.add(matter)
            if place == 0 or carries_over(Decision(row.decision)):
                found[matter] = row
    return found


def _stands(row: Disposition | Change, until: datetime | None) -> bool:
    return row.withdrawn_at is None or (until is not None and row.withdrawn_at > until)


def dispositions_of(revision: Revision, filters: Mapping[str, str] | None = None) -> QuerySet[Disposition]:
    """Return every decision recorded on a revision, oldest first, also superseded ones. One query.

    ``filters`` may hold subject_kind, subject and decision.
    """
    asked = {name: text for name, text in (filters or {}).items() if text}
    rows = Disposition.objects.filter(revision=revision, **asked)
    return rows.select_related("revision", "change__revision", "recorded_by", "withdrawn_by").order_by("id")


def disposition_of(revision: Revision, number: int) -> Disposition:
    """Return one decision of a revision."""
    found = dispositions_of(revision).filter(pk=number).first()
    if found is None:
        message = f"revision {revision} has no disposition {number}"
        raise NotFoundError(message)
    return found


def day_of(until: datetime | None, today: date) -> date:
    """Return the day an expiry is compared with."""
    return until.date() if until else today
