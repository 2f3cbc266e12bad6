"""The bring-up report of a bench session."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from logbook.accounts.models import User
from logbook.bench.models import BenchSession, Measurement
from logbook.bench.queries.evidence import evidence_of_session
from logbook.bench.queries.lists import measurements_of
from logbook.boards.models import Board
from logbook.boards.queries import boards_of, differences_of
from logbook.common import clock
from logbook.core.verdict import Verdict
from logbook.evidence.choices import EvidenceKind
from logbook.evidence.models import Evidence
from logbook.evidence.queries import is_shown
from logbook.findings.models import Finding
from logbook.findings.queries import findings_of
from logbook.recall.reports.jobs import PICTURE
from logbook.recall.reports.queries import Imprint, imprint_of
from logbook.web.access import ProjectPage
from logbook.web.strips import Strip, strip_for

MOST_READINGS = 2_000
MOST_PICTURES = 12


@dataclass(frozen=True)
class ReadingLine:
    """A reading as it was judged when it was recorded, with its limits drawn."""

    measurement: Measurement
    strip: Strip | None


@dataclass(frozen=True)
class BoardLine:
    """A board of the session, and what makes it differ."""

    board: Board
    differs: Sequence[str]


@dataclass(frozen=True)
class Picture:
    """A photo that is shown; ``path`` is the address of its smaller version."""

    evidence: Evidence
    path: str


@dataclass(frozen=True)
class SessionReport:
    """What a bring-up report shows."""

    page: ProjectPage
    session: BenchSession
    boards: Sequence[BoardLine]
    readings: Sequence[ReadingLine]
    has_more: bool
    counts: str
    findings: Sequence[Finding]
    pictures: Sequence[Picture]
    evidence: Sequence[Evidence]
    imprint: Imprint


def session_report_of(page: ProjectPage, session: BenchSession, user: User) -> SessionReport:
    """Gather the report of a session as it stands now."""
    taken = measurements_of(page.project).filter(bench_session=session).select_related("issue")
    rows = list(taken.order_by("taken_at", "recorded_at", "id")[: MOST_READINGS + 1])
    evidence = evidence_of_session(session)
    pictures = _pictures(page.project.slug, evidence)
    shown = {picture.evidence.pk for picture in pictures}
    return SessionReport(
        page=page,
        session=session,
        boards=_boards(page, session),
        readings=[_line(row) for row in rows[:MOST_READINGS]],
        has_more=len(rows) > MOST_READINGS,
        counts=_counts(rows),
        findings=_findings(page, session),
        pictures=pictures,
        evidence=[one for one in evidence if one.pk not in shown],
        imprint=imprint_of(page.project, user),
    )


def _line(row: Measurement) -> ReadingLine:
    strip = strip_for(row.issue, measurement=row, size="small") if row.issue else None
    return ReadingLine(row, strip if strip and strip.is_drawn else None)


def _counts(rows: Sequence[Measurement]) -> str:
    """Return ``12 pass, 1 fail`` of the standing readings, the best first."""
    counts = Counter(row.verdict or "no verdict" for row in rows if not row.is_withdrawn)
    order = [*(str(verdict) for verdict in Verdict), "no verdict"]
    return ", ".join(f"{counts[word]} {word}" for word in order if counts[word])


def _boards(page: ProjectPage, session: BenchSession) -> list[BoardLine]:
    numbers = [board.pk for board in session.boards.all()]
    boards = list(boards_of(page.project).filter(pk__in=numbers))
    differences = differences_of(boards)
    return [BoardLine(board, differences[board.pk]) for board in boards]


def _findings(page: ProjectPage, session: BenchSession) -> list[Finding]:
    """Return what was found on its boards while the session lasted."""
    until = session.ended_at or clock.now()
    found = findings_of(page.project).filter(found_at__gte=session.started_at, found_at__lte=until)
    return list(found.filter(found_on__in=session.boards.all()))


def _pictures(slug: str, evidence: Sequence[Evidence]) -> list[Picture]:
    photos = [one for one in evidence if one.kind == EvidenceKind.PHOTO and is_shown(one)][:MOST_PICTURES]
    return [Picture(one, reverse("evidence-picture", args=[slug, one.pk, PICTURE])) for one in photos]
