"""Findings, lessons and decisions."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from logbook.findings.models import Finding, FindingEvent, FindingEvidence, FindingRework
from logbook.lessons.models import Lesson, LessonAnswer, LessonCheck, LessonEvent, LessonTarget
from logbook.planning.models import CarriedOver, Disposition, NotApplicable, Order
from logbook.projects.models import Project
from logbook.recall.archive.records.record import Record
from logbook.recall.archive.records.told_elsewhere import lessons_in


def _lesson_events(project: Project) -> QuerySet[Any]:
    return LessonEvent.objects.filter(lesson__in=lessons_in(project))


def _lesson_checks(project: Project) -> QuerySet[Any]:
    return LessonCheck.objects.filter(lesson__in=lessons_in(project))


OF_LESSON = ("lesson__key", "pk")
RECORDS = (
    Record("findings", Finding, "project", key=("key",)),
    Record("finding-events", FindingEvent, "finding__project"),
    Record("finding-reworks", FindingRework, "finding__project"),
    Record("finding-evidence", FindingEvidence, "finding__project"),
    Record(
        "lessons",
        Lesson,
        rows=lessons_in,
        key=("key",),
        shared=True,
        order=("key",),
        outside=frozenset({"finding"}),
    ),
    Record("lesson-events", LessonEvent, rows=_lesson_events, shared=True, parent="lesson", order=OF_LESSON),
    Record(
        "lesson-checks",
        LessonCheck,
        rows=_lesson_checks,
        key=("lesson",),
        shared=True,
        parent="lesson",
        order=OF_LESSON,
    ),
    Record("lesson-targets", LessonTarget, "target__project"),
    Record("lesson-answers", LessonAnswer, "revision__project"),
    Record("carried-over", CarriedOver, "revision__project"),
    Record("not-applicable", NotApplicable, "revision__project"),
    Record("dispositions", Disposition, "revision__project"),
    Record("orders", Order, "revision__project"),
)
