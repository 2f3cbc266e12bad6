"""Boards as rows of a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.boards.models import Board
from logbook.boards.queries import differences_of


@dataclass(frozen=True)
class BoardRow:
    """A board and what makes it differ from its drawing now."""

    board: Board
    differs: tuple[str, ...]


def board_rows(boards: Sequence[Board]) -> list[BoardRow]:
    """Return boards with what differs on each. Four queries, whatever their number."""
    differences = differences_of(boards)
    return [BoardRow(board, differences[board.pk]) for board in boards]
