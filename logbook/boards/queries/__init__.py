"""Reading boards and how each was configured at any minute of its life."""

from logbook.boards.queries.boards import board_named, board_of, boards_of, events_of
from logbook.boards.queries.options import option_settings_of
from logbook.boards.queries.reworks import (
    changes_and_reworks_of,
    rework_named,
    rework_numbered,
    rework_of,
    reworks_of,
    reworks_of_project,
)
from logbook.boards.queries.timelines import BoardTimeline, Stretch, board_timelines, differences_of

__all__ = [
    "BoardTimeline",
    "Stretch",
    "board_named",
    "board_of",
    "board_timelines",
    "boards_of",
    "changes_and_reworks_of",
    "differences_of",
    "events_of",
    "option_settings_of",
    "rework_named",
    "rework_numbered",
    "rework_of",
    "reworks_of",
    "reworks_of_project",
]
