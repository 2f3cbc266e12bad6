"""Reading boards and how each was configured at any minute of its life."""

from logbook.boards.queries.boards import board_named, board_of, boards_of, events_of
from logbook.boards.queries.configurations import BoardConfiguration, configuration_at
from logbook.boards.queries.connectors import (
    BoardFacts,
    ConnectorTruth,
    board_facts,
    connector_truths,
    timelines_now,
)
from logbook.boards.queries.option_table import OptionRow, option_table, setting_runs
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
from logbook.boards.queries.warnings import STATE_WARNINGS, state_notes_of

__all__ = [
    "STATE_WARNINGS",
    "BoardConfiguration",
    "BoardFacts",
    "BoardTimeline",
    "ConnectorTruth",
    "OptionRow",
    "Stretch",
    "board_facts",
    "board_named",
    "board_of",
    "board_timelines",
    "boards_of",
    "changes_and_reworks_of",
    "configuration_at",
    "connector_truths",
    "differences_of",
    "events_of",
    "option_settings_of",
    "option_table",
    "rework_named",
    "rework_numbered",
    "rework_of",
    "reworks_of",
    "reworks_of_project",
    "setting_runs",
    "state_notes_of",
    "timelines_now",
]
