"""Whether anything can be tested before ordering at all: it takes a board of the line."""

from __future__ import annotations

from logbook.boards.choices import BoardState
from logbook.boards.models import Board
from logbook.projects.models import Revision
from logbook.projects.queries import lineages

# A reference or quarantined board can be read by somebody who knows why it is there; these cannot.
GONE = (BoardState.LENT, BoardState.DAMAGED, BoardState.SCRAPPED)


def why_nothing_can_be_tested(revision: Revision) -> str:
    """Say why no reading can be taken before ordering and what to do instead; else empty. Two queries."""
    line = lineages(revision.project)[revision.pk]
    states = set(Board.objects.filter(revision_id__in=line).values_list("state", flat=True))
    if states - set(GONE):
        return ""
    instead = "choose a change or accept it by name"
    if not states:
        return (
            f"There is no board of revision {revision} or of what it descends from, so no reading can settle "
            f"test first before ordering: record a board that exists, or {instead}."
        )
    are = " or ".join(sorted(states))
    return (
        f"Every board of revision {revision} and of what it descends from is {are}, so "
        f"no reading can settle test first before ordering: bring one back into use, or {instead}."
    )
