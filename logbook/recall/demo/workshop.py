"""Boards and what was done to them: the entries of the story that say so."""

from __future__ import annotations

from logbook.bench.commands import record_option_setting, record_rework
from logbook.boards.commands import PathInput, add_board, change_board, record_board_event
from logbook.projects.commands.options import position_named
from logbook.projects.queries import option_named
from logbook.recall.demo.cast import Cast
from logbook.recall.demo.story import Entry


def board(cast: Cast, entry: Entry) -> None:
    """Add a board built to a revision."""
    says = dict(entry.says)
    revision = cast.revision(entry, says.pop("revision"))
    add_board(actor=cast.actor(entry), project=cast.project(entry), revision=revision, **says)


def board_event(cast: Cast, entry: Entry) -> None:
    """Bring a board into a state and to a place."""
    says = dict(entry.says)
    board = cast.board(entry, says.pop("board"))
    record_board_event(actor=cast.actor(entry), board=board, **says)


def changed_board(cast: Cast, entry: Entry) -> None:
    """Change what a board says of itself."""
    says = dict(entry.says)
    change_board(actor=cast.actor(entry), board=cast.board(entry, says.pop("board")), values=says)


def rework(cast: Cast, entry: Entry) -> None:
    """Rework one board."""
    says = dict(entry.says)
    board = cast.board(entry, says.pop("board"))
    touched = cast.subsystems(entry, says.pop("subsystems"))
    paths = [PathInput(*row) for row in says.pop("paths", ())]
    record_rework(actor=cast.actor(entry), board=board, subsystems=touched, paths=paths, **says)


def option_settings(cast: Cast, entry: Entry) -> None:
    """Record the position each option was found in; null means not fitted."""
    for key, position in entry.says["positions"].items():
        option = option_named(cast.project(entry), key)
        record_option_setting(
            actor=cast.actor(entry),
            board=cast.board(entry),
            option=option,
            position=position_named(option, position),
            note=entry.says.get("note", ""),
        )
