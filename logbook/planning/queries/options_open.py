"""Options a revision leaves open."""

from __future__ import annotations

from datetime import datetime

from logbook.projects.models import Option, Revision
from logbook.projects.queries import standings_of


def options_left_open(revision: Revision, until: datetime | None) -> tuple[Option, ...]:
    """Return the options left open on the revision or before it, or neither decided nor drawn, by key.

    Five queries. What is drawn is always today's; of decisions, those recorded until then count.
    """
    options = Option.objects.filter(project_id=revision.project_id).select_related("subsystem")
    standings = standings_of(options.order_by("key"), revision, until=until)
    return tuple(one.option for one in standings if one.is_open)
