"""Text search of PostgreSQL."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from django.db import connection

from logbook.recall.search.index.base import TextIndex, Texts, Within
from logbook.recall.search.terms import Term

# Limits of a tsvector: a position is at most 16383, and a lexeme keeps at most 256 of them.
LAST_POSITION = 16_383
FIND = """
SELECT d.id FROM recall_words w JOIN recall_document d ON d.id = w.rowid, CAST(%s AS tsquery) asked
WHERE w.words @@ asked AND {condition} ORDER BY ts_rank(w.words, asked) DESC LIMIT %s
"""


class PostgresqlIndex(TextIndex):
    """Keeps tokens as lexemes made here: PostgreSQL's own parser would split 4.7uF and stem keys."""

    any_of = " | "
    all_of = " & "

    def write(self, texts: Collection[Texts]) -> None:
        """Keep the tokens of documents in place of what is there."""
        self.remove([text.pk for text in texts])
        with connection.cursor() as cursor:
            cursor.executemany(
                "INSERT INTO recall_words (rowid, words) VALUES (%s, CAST(%s AS tsvector))",
                [(text.pk, " ".join(_lexemes(text))) for text in texts],
            )

    def find(self, terms: Sequence[Term], within: Within, limit: int, *, all_terms: bool) -> list[int]:
        """Return ids of documents that hold all terms, or any, the better ones first. One query."""
        condition, values = within.condition()
        asked = self.expression(terms, all_terms=all_terms)
        with connection.cursor() as cursor:
            cursor.execute(FIND.format(condition=condition), [asked, *values, limit])
            return [pk for (pk,) in cursor.fetchall()]

    def token(self, token: str, *, is_prefix: bool) -> str:
        """Return a quoted token."""
        return f"'{token}':*" if is_prefix else f"'{token}'"


def _lexemes(text: Texts) -> Iterator[str]:
    """Return each token of a field once, with the weight of the field: A keys, B title, D body."""
    for tokens, weight in ((text.keys, "A"), (text.title, "B"), (text.body, "")):
        for place, token in enumerate(dict.fromkeys(tokens), start=1):
            yield f"'{token}':{min(place, LAST_POSITION)}{weight}"
