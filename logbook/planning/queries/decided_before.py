"""Everything that was ever decided about one subject, on every revision, and what became of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from logbook.common import clock
from logbook.core.risk import Decision, SubjectKind, differences
from logbook.planning.models import Disposition, NotApplicable
from logbook.planning.queries.decided import decision_in_words, matter_of
from logbook.projects.models import Project

NOT_APPLICABLE = "not applicable"


@dataclass(frozen=True)
class DecidedBefore:
    """One decision: ``told`` is the reason of the row then; ``ended`` is empty while nothing ended it."""

    revision: str
    subject: str
    decision: str
    says: str
    told: str
    by: str
    recorded_at: datetime
    ended: str

    @property
    def waives(self) -> bool:
        """Say whether it makes the targets it covers waived on its revision while it holds."""
        return self.decision == Decision.ACCEPT and not self.ended


def decided_before(project: Project, kind: SubjectKind, *subjects: str) -> list[DecidedBefore]:
    """Return the decisions about subjects, newest first, withdrawn and superseded ones too. Two queries."""
    rows = Disposition.objects.filter(revision__project=project, subject_kind=str(kind), subject__in=subjects)
    found = _told(rows.select_related("revision", "change__revision").order_by("id"))
    if kind == SubjectKind.TARGET:
        apart = NotApplicable.objects.filter(revision__project=project, target__key__in=subjects)
        found += [_set_aside(row) for row in apart.select_related("revision", "target")]
    return sorted(found, key=lambda one: one.recorded_at, reverse=True)


def _told(rows: Iterable[Disposition]) -> list[DecidedBefore]:
    """Say of each decision what ended it: a withdrawal, the next one on the same matter, or its last day."""
    kept = list(rows)
    today = timezone.localdate(clock.now())
    found = []
    for place, row in enumerate(kept):
        mine = row.revision_id, matter_of(row)
        newer = next((one for one in kept[place + 1 :] if (one.revision_id, matter_of(one)) == mine), None)
        found.append(
            DecidedBefore(
                revision=row.revision.label,
                subject=row.subject,
                decision=row.decision,
                says=decision_in_words(row),
                told=row.told,
                by=row.by,
                recorded_at=row.recorded_at,
                ended=_ended(row, newer, today),
            )
        )
    return found


def _ended(row: Disposition, newer: Disposition | None, today: date) -> str:
    if row.withdrawn_at is not None:
        return _withdrawn(row)
    if newer is not None:
        since = "; ".join(differences(row.fingerprint, newer.fingerprint))
        return f"decided anew {_day(newer.recorded_at)}" + (f", because {since}" if since else "")
    if row.expires_on is not None and row.expires_on < today:
        return f"lapsed after {row.expires_on.isoformat()}"
    return ""


def _set_aside(row: NotApplicable) -> DecidedBefore:
    return DecidedBefore(
        revision=row.revision.label,
        subject=row.target.key,
        decision=NOT_APPLICABLE,
        says=f"{NOT_APPLICABLE}: {row.reason}",
        told="",
        by=row.by,
        recorded_at=row.recorded_at,
        ended=_withdrawn(row) if row.withdrawn_at is not None else "",
    )


def _withdrawn(row: Disposition | NotApplicable) -> str:
    return f"withdrawn {_day(row.withdrawn_at)}: {row.withdrawn_because}"


def _day(moment: datetime | None) -> str:
    return f"{timezone.localtime(moment):%Y-%m-%d}" if moment else ""
