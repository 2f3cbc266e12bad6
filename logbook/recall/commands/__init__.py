"""Writes of recall."""

from logbook.recall.commands.archives import (
    ask_export,
    fail_export,
    give_up_export,
    note_export_progress,
    store_export,
)

__all__ = ["ask_export", "fail_export", "give_up_export", "note_export_progress", "store_export"]
