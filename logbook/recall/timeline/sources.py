"""Where the lines of a timeline come from."""

from __future__ import annotations

from django.db.models.functions import Coalesce
from django.urls import reverse

from logbook.bench.models import BenchSession
from logbook.boards.models import BoardEvent, Rework
from logbook.evidence.choices import EvidenceKind
from logbook.evidence.models import Evidence
from logbook.findings.models import FindingEvent
from logbook.lessons.models import LessonEvent
from logbook.planning.models import Disposition, Order
from logbook.projects.models import Change, Project, ProjectStateEvent, Revision
from logbook.recall.timeline.line import Line, Source, address


def _session(project: Project, row: BenchSession) -> Line:
    url = address("session-detail", project, row.pk)
    return Line("bench session", row.started_at, row.title, url, row.note)


def _finding(project: Project, row: FindingEvent) -> Line:
    finding = row.finding
    url = address("finding-detail", project, finding.key)
    return Line("finding", row.at, f"{finding.key} {row.state}: {finding.title}", url, row.note)


def _change(project: Project, row: Change) -> Line:
    label = row.revision.label
    url = address("revision-changes", project, label)
    return Line("change", row.recorded_at, f"{row.key} of rev {label}: {row.what}", url, row.why)


def _disposition(project: Project, row: Disposition) -> Line:
    label = row.revision.label
    url = address("risk-list", project, label)
    title = f"{row.decision} {row.subject} on rev {label}, by {row.by}"
    return Line("disposition", row.recorded_at, title, url, row.reason)


def _rework(project: Project, row: Rework) -> Line:
    serial = row.board.serial
    url = address("rework-detail", project, serial, row.key)
    return Line("rework", row.in_force_from, f"{row.key} on {serial}: {row.what}", url, row.reason)


def _undone(project: Project, row: Rework) -> Line:
    serial = row.board.serial
    url = address("rework-detail", project, serial, row.key)
    return Line("rework", row.in_force_until or row.recorded_at, f"{row.key} on {serial} undone", url)


def _board(project: Project, row: BoardEvent) -> Line:
    serial = row.board.serial
    place = f", {row.location}" if row.location else ""
    url = address("board-detail", project, serial)
    return Line("board", row.at, f"{serial} {row.get_state_display()}{place}", url, row.note)


def _state(project: Project, row: ProjectStateEvent) -> Line:
    url = address("project-detail", project)
    return Line("project", row.at, f"{project} {row.get_state_display()}", url, row.note)


def _ordered(project: Project, row: Revision) -> Line:
    url = address("revision-detail", project, row.label)
    day = row.ordered_on
    if day is None:
        message = f"revision {row.label} was never ordered"
        raise ValueError(message)
    return Line("revision", day, f"rev {row.label} ordered", url, row.summary)


def _order(project: Project, row: Order) -> Line:
    label = row.revision.label
    url = address("order-detail", project, label, row.pk)
    return Line("order", row.decided_on, f"rev {label}: {row.decision}, {row.name}", url, row.conditions)


def _evidence(project: Project, row: Evidence) -> Line:
    url = address("evidence-detail", project, row.pk)
    is_photo = row.kind == EvidenceKind.PHOTO
    picture = address("evidence-picture", project, row.pk, "320.webp") if is_photo else ""
    note = row.name if row.caption else ""
    at = row.taken_at or row.recorded_at
    return Line("evidence", at, row.caption or row.name, url, note, picture=picture)


def _lesson(project: Project, row: LessonEvent) -> Line:
    lesson = row.lesson
    url = reverse("lesson-detail", args=[lesson.key])
    return Line("lesson", row.at, f"{lesson.key} {row.state}: {lesson.rule}", url, row.note)


SOURCES = (
    Source("project", lambda it: ProjectStateEvent.objects.filter(project=it), "at", _state),
    Source("revision", lambda it: Revision.objects.filter(project=it), "ordered_on", _ordered),
    Source("bench session", lambda it: BenchSession.objects.filter(project=it), "started_at", _session),
    Source(
        "board",
        lambda it: BoardEvent.objects.filter(board__project=it).select_related("board"),
        "at",
        _board,
    ),
    Source(
        "rework",
        lambda it: Rework.objects.filter(board__project=it).select_related("board"),
        "in_force_from",
        _rework,
    ),
    Source(
        "rework",
        lambda it: Rework.objects.filter(board__project=it).select_related("board"),
        "in_force_until",
        _undone,
    ),
    Source(
        "finding",
        lambda it: FindingEvent.objects.filter(finding__project=it).select_related("finding"),
        "at",
        _finding,
    ),
    Source(
        "change",
        lambda it: Change.objects.filter(revision__project=it, withdrawn_at__isnull=True).select_related(
            "revision"
        ),
        "recorded_at",
        _change,
    ),
    Source(
        "disposition",
        lambda it: Disposition.objects.filter(revision__project=it, withdrawn_at__isnull=True).select_related(
            "revision"
        ),
        "recorded_at",
        _disposition,
    ),
    Source(
        "order",
        lambda it: Order.objects.filter(revision__project=it).select_related("revision"),
        "decided_on",
        _order,
    ),
    Source(
        "lesson",
        lambda it: LessonEvent.objects.filter(lesson__project=it).select_related("lesson"),
        "at",
        _lesson,
    ),
    Source(
        "evidence",
        lambda it: Evidence.objects.filter(project=it).annotate(seen_at=Coalesce("taken_at", "recorded_at")),
        "seen_at",
        _evidence,
    ),
)
