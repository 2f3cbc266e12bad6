"""The full-text index of whichever database this is."""

from __future__ import annotations

from django.db import connection

from logbook.recall.search.index.base import TextIndex, Texts, Within
from logbook.recall.search.index.postgresql import PostgresqlIndex
from logbook.recall.search.index.sqlite import SqliteIndex

__all__ = ["TextIndex", "Texts", "Within", "text_index"]


def text_index() -> TextIndex:
    """Return the index of the database in use."""
    return PostgresqlIndex() if connection.vendor == "postgresql" else SqliteIndex()
