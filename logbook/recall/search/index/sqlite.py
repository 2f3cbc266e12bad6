"""FTS5 of SQLite."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from django.db import connection

from logbook.recall.search.index.base import TextIndex, Texts, Within
from logbook.recall.search.terms import Term

# How much a hit counts in keys, title and body.
FIND = """
SELECT d.id FROM recall_words w JOIN recall_document d ON d.id = w.rowid
WHERE recall_words MATCH %s AND {condition} ORDER BY bm25(recall_words, 10.0, 5.0, 1.0) LIMIT %s
"""


class SqliteIndex(TextIndex):
    """Keeps tokens in a table of FTS5, which finds them by their words and beginnings."""

    any_of = " OR "
    all_of = " AND "

    def write(self, texts: Collection[Texts]) -> None:
        """Keep the tokens of documents in place of what is there."""
        self.remove([text.pk for text in texts])
        rows: list[tuple[int | str, ...]] = [
            (text.pk, *map(" ".join, (text.keys, text.title, text.body))) for text in texts
        ]
        with connection.cursor() as cursor:
            cursor.executemany(
                "INSERT INTO recall_words (rowid, keys, title, body) VALUES (%s, %s, %s, %s)", rows
            )

    def find(self, terms: Sequence[Term], within: Within, limit: int, *, all_terms: bool) -> list[int]:
        """Return ids of documents that hold all terms, or any, the better ones first. One query."""
        condition, values = within.condition()
        asked = self.expression(terms, all_terms=all_terms)
        with connection.cursor() as cursor:
            cursor.execute(FIND.format(condition=condition), [asked, *values, limit])
            return [pk for (pk,) in cursor.fetchall()]

    def token(self, token: str, *, is_prefix: bool) -> str:
        """Return a quoted token: unquoted, AND, NEAR or a point would be taken as orders."""
        return f'"{token}"*' if is_prefix else f'"{token}"'
