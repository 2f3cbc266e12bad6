"""Tables of recall: what the search looks through, and the archives and reports asked for."""

from logbook.recall.models.exports import Export
from logbook.recall.models.reports import Report
from logbook.recall.models.search import Document, Followed, Word

__all__ = ["Document", "Export", "Followed", "Report", "Word"]
