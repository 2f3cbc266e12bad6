"""Which revisions there were, which one was built last, and how each is powered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from logbook.boards.models import Board
from logbook.common.models import ChangeRecord
from logbook.projects.models import Project, Revision
from logbook.projects.queries import Descent, descent_from, revisions_of


@dataclass(frozen=True)
class RevisionLine:
    """One revision with the number of its boards."""

    revision: Revision
    boards: int


@dataclass(frozen=True)
class Revisions:
    """The revisions known on the day, oldest first; ``built`` is the newest with a board, else the newest.

    ``descent`` says of every revision there is today how it descends from others.
    """

    lines: tuple[RevisionLine, ...]
    descent: Descent
    built: Revision | None
    newest: Revision | None


def revisions_known(project: Project, boards: Collection[Board], until: datetime | None) -> Revisions:
    """Return the revisions there were. One query today, two for a past day."""
    counts = Counter(board.revision_id for board in boards)
    rows = list(revisions_of(project))
    for row in rows:
        row.project = project
    descent = descent_from([(row.pk, row.label, row.parent_id) for row in rows])
    if until is not None:
        added = _added_on(project)
        day = timezone.localdate(until)
        rows = [row for row in rows if counts[row.pk] or _was_there(row, added.get(row.pk), day)]
    lines = tuple(RevisionLine(row, counts[row.pk]) for row in rows)
    with_boards = [row for row in rows if counts[row.pk]]
    newest = rows[-1] if rows else None
    return Revisions(lines, descent, with_boards[-1] if with_boards else newest, newest)


def _added_on(project: Project) -> dict[int, date]:
    kind = str(Revision._meta.verbose_name)
    rows = ChangeRecord.objects.filter(project_id=project.pk, kind=kind, action="added").order_by("-id")
    return {pk: timezone.localdate(at) for pk, at in rows.values_list("object_id", "at")}


def _was_there(revision: Revision, added: date | None, day: date) -> bool:
    """Say whether a revision is known by ``day``: drawn, ordered or written down; without any day it is."""
    days: Sequence[date] = [one for one in (revision.drawn_on, revision.ordered_on, added) if one]
    return not days or min(days) <= day
