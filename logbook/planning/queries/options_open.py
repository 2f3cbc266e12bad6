"""Options a revision leaves open."""

from __future__ import annotations

from datetime import datetime

from logbook.planning.queries.existence import options_added_later
from logbook.projects.models import Option, Revision
from logbook.projects.queries import standings_of


def options_left_open(
    revision: Revision, until: datetime | None, line: tuple[int, ...] | None = None
) -> tuple[Option, ...]:
    """Return the options left open on the revision or before it, or neither decided nor drawn, by key.

    Four queries, one more for a past day. What is drawn is always today's; of options and decisions, those
    recorded until then count.
    """
    options = list(
        Option.objects.filter(project_id=revision.project_id).select_related("subsystem").order_by("key")
    )
    if until is not None:
        later = options_added_later([option.pk for option in options], until)
        options = [option for option in options if option.pk not in later]
    standings = standings_of(options, revision, until=until, line=line)
    return tuple(one.option for one in standings if one.is_open)
