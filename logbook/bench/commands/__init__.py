"""Every write to the bench."""

from logbook.bench.commands.configuration import (
    record_option_setting,
    record_rework,
    set_position_by_design,
    undo_rework,
)
from logbook.bench.commands.from_templates import AddedTarget, Pick, add_targets_from_templates
from logbook.bench.commands.instruments import (
    add_instrument,
    change_instrument,
    record_calibration,
    set_ranges,
)
from logbook.bench.commands.reading import ReadingInput, Recorded
from logbook.bench.commands.recording import record_reading, record_readings
from logbook.bench.commands.reworks import attach_to_rework, recheck_rework
from logbook.bench.commands.sessions import change_bench_session, open_bench_session
from logbook.bench.commands.stored import Names, StoredReading
from logbook.bench.commands.targets import add_target, change_target, issue_target, take_band
from logbook.bench.commands.withdrawing import withdraw_measurement

__all__ = [
    "AddedTarget",
    "Names",
    "Pick",
    "ReadingInput",
    "Recorded",
    "StoredReading",
    "add_instrument",
    "add_target",
    "add_targets_from_templates",
    "attach_to_rework",
    "change_bench_session",
    "change_instrument",
    "change_target",
    "issue_target",
    "open_bench_session",
    "recheck_rework",
    "record_calibration",
    "record_option_setting",
    "record_reading",
    "record_readings",
    "record_rework",
    "set_position_by_design",
    "set_ranges",
    "take_band",
    "undo_rework",
    "withdraw_measurement",
]
