"""Options a revision leaves open."""

from __future__ import annotations

from datetime import datetime

from logbook.projects.models import Option, Revision


def options_left_open(revision: Revision, until: datetime | None) -> tuple[Option, ...]:
    """Return the options without a designed position on the revision, by key. One query.

    What is drawn is always today's, so a past day does not change the answer.
    """
    drawn = revision.designed_positions.values("option_id")
    options = Option.objects.filter(project_id=revision.project_id).exclude(pk__in=drawn)
    return tuple(options.select_related("subsystem").order_by("key"))
