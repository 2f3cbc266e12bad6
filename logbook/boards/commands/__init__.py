"""Writes to boards. Reworks and option settings are stored here and made to count by ``bench``."""

from logbook.boards.commands.boards import add_board, change_board, record_board_event
from logbook.boards.commands.changes import fold_in_rework, record_change
from logbook.boards.commands.options import store_option_setting
from logbook.boards.commands.paths import PathInput
from logbook.boards.commands.reworks import describe_rework, end_rework, store_rework

__all__ = [
    "PathInput",
    "add_board",
    "change_board",
    "describe_rework",
    "end_rework",
    "fold_in_rework",
    "record_board_event",
    "record_change",
    "store_option_setting",
    "store_rework",
]
