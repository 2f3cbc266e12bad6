"""Boards of the nearest ancestor, for a revision of which no board is at hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from logbook.boards.choices import AT_HAND
from logbook.boards.models import Board
from logbook.core.state.weights import ways_to_touched, weight_along
from logbook.projects.models import Change, Revision
from logbook.projects.queries import lineages, subsystem_needs


@dataclass(frozen=True)
class AncestorBoards:
    """The boards at hand of the nearest ancestor that has some, by serial.

    ``weights`` says by subsystem what a reading on them counts here: 1 carries over in full, 0 nothing.
    """

    label: str
    serials: tuple[str, ...]
    weights: Mapping[str, float]


def ancestor_boards_of(revision: Revision) -> AncestorBoards | None:
    """Return the boards of the nearest ancestor with some at hand; none without any. Six queries."""
    line = lineages(revision.project)[revision.pk]
    boards = Board.objects.filter(revision_id__in=line[1:], state__in=AT_HAND).order_by("serial")
    found: dict[int, list[tuple[str, str]]] = {}
    for pk, serial, state in boards.values_list("revision_id", "serial", "state"):
        found.setdefault(pk, []).append((state, serial))
    depth = next((place for place, pk in enumerate(line) if pk in found), 0)
    if not depth:
        return None
    ordered = sorted(found[line[depth]], key=lambda one: AT_HAND.index(one[0]))
    label = Revision.objects.values_list("label", flat=True).get(pk=line[depth])
    return AncestorBoards(
        label, tuple(serial for _, serial in ordered), _weights(revision, line[: depth + 1])
    )


def _weights(revision: Revision, line: tuple[int, ...]) -> dict[str, float]:
    """Return by subsystem what the line leaves of a reading."""
    touched: dict[int, set[str]] = {}
    rows = Change.objects.filter(revision_id__in=line[:-1], withdrawn_at__isnull=True)
    for pk, subsystem in rows.values_list("revision_id", "subsystems__key"):
        touched.setdefault(pk, set()).update({subsystem} - {None})
    needs = subsystem_needs(revision.project)
    steps = [ways_to_touched(needs, touched[pk]) if pk in touched else None for pk in line[:-1]]
    return {key: weight_along(None if ways is None else ways.get(key, ()) for ways in steps) for key in needs}
