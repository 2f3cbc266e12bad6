"""Whether a revision is ready to order, and exactly what is missing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from logbook.core.readiness import Gap, LessonAsked, OpenRisk, gaps_of
from logbook.core.risk import Level, SubjectKind
from logbook.planning.queries.changes_ahead import changes_not_in_files
from logbook.planning.queries.days import entered_later
from logbook.planning.queries.risks import RiskRow, risks_in
from logbook.planning.queries.standing import standing_of
from logbook.projects.models import Revision


@dataclass(frozen=True)
class Missing:
    """One thing that is missing, with the row of the open-risk list it follows from, where there is one."""

    gap: Gap
    row: RiskRow | None


@dataclass(frozen=True)
class RevisionReadiness:
    """Whether a revision is ready to order.

    ``also_open`` are undecided rows that are not in the way, ``decided`` those whose decision holds.
    """

    revision: Revision
    as_of: date | None
    entered_later: int
    missing: tuple[Missing, ...]
    also_open: tuple[RiskRow, ...]
    decided: tuple[RiskRow, ...]

    @property
    def ready(self) -> bool:
        """Say whether nothing is missing."""
        return not self.missing


def readiness_of(revision: Revision, *, as_of: date | None = None) -> RevisionReadiness:
    """Derive what is missing, today or at the end of a day. One query more than the risk list at most."""
    standing = standing_of(revision, as_of)
    rows = risks_in(standing)
    asked = [
        LessonAsked(one.key, one.lesson.rule, one.firmness, one.answered is not None)
        for one in standing.lessons
        if one.is_binding
    ]
    planned = changes_not_in_files(revision, rows, standing.until)
    missing = tuple(_missing(rows, gaps_of((_as_asked(row, planned) for row in rows), asked)))
    told = {one.row.matter for one in missing if one.row is not None}
    also = tuple(row for row in rows if not row.is_decided and row.matter not in told)
    later = entered_later(standing.line, standing.until) if standing.until else 0
    decided = tuple(row for row in rows if row.is_decided)
    return RevisionReadiness(revision, as_of, later, missing, also, decided)


def _as_asked(row: RiskRow, planned: Mapping[int, str]) -> OpenRisk:
    change = row.disposition.record.change_id if row.disposition else None
    return OpenRisk(
        subject_kind=SubjectKind(row.subject_kind),
        subject=row.subject,
        title=row.title,
        level=Level(row.level),
        kind=row.kind,
        reason=row.reason,
        closes=row.closes,
        is_grave=row.is_grave,
        held=row.disposition.held if row.disposition else None,
        not_in_files=planned.get(change, "") if change else "",
    )


def _missing(rows: Iterable[RiskRow], gaps: Iterable[Gap]) -> Iterable[Missing]:
    known = {(row.subject_kind, row.subject, row.kind): row for row in rows}
    return (Missing(gap, known.get((str(gap.subject_kind), gap.subject, gap.kind))) for gap in gaps)
