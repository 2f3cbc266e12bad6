"""Background work of recall."""

from logbook.recall.jobs.archives import export_archive, lay_levels, note_no_levels

__all__ = ["export_archive", "lay_levels", "note_no_levels"]
