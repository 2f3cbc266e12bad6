"""Tables of recall: what the search looks through. All of it can be made anew from the other apps."""

from logbook.recall.models.search import Document, Followed, Word

__all__ = ["Document", "Followed", "Word"]
