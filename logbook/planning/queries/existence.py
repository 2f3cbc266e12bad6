"""What was there on a past day: which revisions, and which options were recorded."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from logbook.bench.models import Measurement
from logbook.boards.models import BoardEvent
from logbook.common.errors import FieldProblem, NotThereYetError
from logbook.common.models import ChangeRecord
from logbook.projects.models import Project, Revision


def check_was_there(revision: Revision, until: datetime) -> None:
    """Refuse a day on which a revision was not there yet. One query."""
    there = revisions_there(revision.project, until)
    if revision.pk in there:
        return
    day = timezone.localdate(until)
    if there:
        others = ", ".join(there.values())
        message = f"revision {revision.label} was not there on {day}"
        allowed = f"a later day; there on that day: {others}"
    else:
        message, allowed = f"the project was not recorded yet on {day}", "a later day"
    problem = FieldProblem("as_of", message, str(day), allowed, "not_there_yet")
    raise NotThereYetError(f"{message}; {allowed}", problems=[problem])


def revisions_there(project: Project, until: datetime) -> dict[int, str]:
    """Return id and label of the revisions that were there, oldest first. One query.

    A revision is there from the day it was drawn or ordered, or was recorded, or of the first event of a
    board of it or reading on one, whichever came first: history may be entered later.
    """
    day: date = timezone.localdate(until)
    board_events = BoardEvent.objects.filter(board__revision_id=OuterRef("pk"), at__lte=until)
    readings = Measurement.objects.filter(board__revision_id=OuterRef("pk"), taken_at__lte=until)
    rows = Revision.objects.filter(
        Q(drawn_on__lte=day)
        | Q(ordered_on__lte=day)
        | ~Exists(_added("revision", later_than=until))
        | Exists(board_events)
        | Exists(readings),
        project=project,
    )
    return dict(rows.order_by("id").values_list("pk", "label"))


def options_added_later(option_ids: Collection[int], until: datetime) -> set[int]:
    """Return which of some options were recorded only after a moment. One query."""
    rows = ChangeRecord.objects.filter(kind="option", action="added", object_id__in=option_ids, at__gt=until)
    return set(rows.values_list("object_id", flat=True))


def _added(kind: str, *, later_than: datetime) -> QuerySet[ChangeRecord]:
    return ChangeRecord.objects.filter(kind=kind, action="added", object_id=OuterRef("pk"), at__gt=later_than)
