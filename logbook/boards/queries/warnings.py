"""What a person must know of the state of a board before touching it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from logbook.boards.choices import BoardState
from logbook.boards.models import Board, BoardEvent

STATE_WARNINGS: Mapping[str, str] = MappingProxyType(
    {
        BoardState.DAMAGED: "DAMAGED: do not power",
        BoardState.QUARANTINED: "QUARANTINED: do not use",
        BoardState.LENT: "LENT: not here to work on",
        BoardState.SCRAPPED: "SCRAPPED: do not power",
    }
)


def state_notes_of(boards: Iterable[Board]) -> Mapping[int, str]:
    """Return what was said when each board came into its state, or else its own note. One query."""
    found = {board.pk: board for board in boards}
    notes = {pk: board.note for pk, board in found.items()}
    for event in BoardEvent.objects.filter(board__in=list(found)).order_by("at", "id"):
        if event.note and event.state == found[event.board_id].state:
            notes[event.board_id] = event.note
    return notes
