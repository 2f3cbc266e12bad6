"""Which lessons an archive holds: those of the project, and those it was asked or took something from."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from logbook.core.risk import SubjectKind
from logbook.lessons.models import Lesson, LessonEvent
from logbook.planning.models import Disposition
from logbook.projects.models import Project


def lessons_in(project: Project) -> QuerySet[Lesson]:
    """Return the lessons an archive of a project holds, with those that supersede them.

    One query for each step from a lesson to the one that superseded it.
    """
    decided = Disposition.objects.filter(revision__project=project, subject_kind=SubjectKind.LESSON)
    named = (
        Q(project=project)
        | Q(answers__revision__project=project)
        | Q(targets__target__project=project)
        | Q(key__in=decided.values("subject"))
    )
    found = set(Lesson.objects.filter(named).values_list("pk", flat=True))
    newer = found
    while newer:
        events = LessonEvent.objects.filter(lesson__in=newer, superseded_by__isnull=False)
        newer = set(events.values_list("superseded_by_id", flat=True)) - found
        found |= newer
    return Lesson.objects.filter(pk__in=found)
