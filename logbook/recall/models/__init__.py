"""Tables of recall: what the search looks through, and the archives asked for."""

from logbook.recall.models.exports import Export
from logbook.recall.models.search import Document, Followed, Word

__all__ = ["Document", "Export", "Followed", "Word"]
