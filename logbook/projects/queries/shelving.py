"""Reading when a project was laid aside, and what was written down then."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from logbook.projects.choices import ProjectState
from logbook.projects.models import Project, ProjectStateEvent, ShelvingNote
from logbook.projects.queries.projects import state_events_of


@dataclass(frozen=True)
class Shelving:
    """The latest state of a project, the time it was last laid aside, and the note of that day."""

    state: ProjectStateEvent | None
    laid_aside: ProjectStateEvent | None
    note: ShelvingNote | None


def shelving_of(project: Project, until: datetime | None = None) -> Shelving:
    """Return how a project came to rest, today or at a past moment; reopening keeps it. Two queries."""
    events = state_events_of(project)
    notes = ShelvingNote.objects.filter(event__project=project).select_related("recorded_by")
    if until is not None:
        events, notes = events.filter(at__lte=until), notes.filter(recorded_at__lte=until)
    known = list(events)
    laid_aside = next((one for one in known if one.state != ProjectState.ACTIVE), None)
    note = next((one for one in notes.order_by("-id") if laid_aside and one.event_id == laid_aside.pk), None)
    return Shelving(known[0] if known else None, laid_aside, note)
