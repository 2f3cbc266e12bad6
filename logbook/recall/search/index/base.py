"""What both databases do for the search: keep tokens under the id of a document, and find them."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django.db import connection

from logbook.recall.search.terms import Option, Piece, Term


@dataclass(frozen=True)
class Texts:
    """The tokens of one document."""

    pk: int
    keys: Sequence[str]
    title: Sequence[str]
    body: Sequence[str]


@dataclass(frozen=True)
class Within:
    """Where somebody may look: their projects and what is for everyone; narrowed by project and kinds."""

    user_id: int
    project_id: int | None = None
    kinds: tuple[str, ...] = ()
    but_kinds: tuple[str, ...] = ()

    def condition(self) -> tuple[str, list[Any]]:
        """Return the condition on ``d`` (documents) and its parameters. Every search goes through here."""
        mine = "SELECT project_id FROM projects_membership WHERE user_id = %s"
        said = [f"(d.for_everyone OR d.project_id IN ({mine}))"]
        values: list[Any] = [self.user_id]
        if self.project_id is not None:
            said.append("d.project_id = %s")
            values.append(self.project_id)
        for kinds, word in ((self.kinds, "IN"), (self.but_kinds, "NOT IN")):
            if kinds:
                said.append(f"d.kind {word} ({', '.join(['%s'] * len(kinds))})")
                values += kinds
        return " AND ".join(said), values


class TextIndex(ABC):
    """Keeps and finds the tokens of documents. A token holds letters, digits and points only."""

    any_of: ClassVar[str]
    all_of: ClassVar[str]

    @abstractmethod
    def write(self, texts: Collection[Texts]) -> None:
        """Keep the tokens of documents in place of what is there."""

    @abstractmethod
    def find(self, terms: Sequence[Term], within: Within, limit: int, *, all_terms: bool) -> list[int]:
        """Return ids of documents that hold all terms, or any, the better ones first. One query."""

    @abstractmethod
    def token(self, token: str, *, is_prefix: bool) -> str:
        """Return one token as the database asks for it."""

    def remove(self, ids: Collection[int]) -> None:
        """Forget documents."""
        with connection.cursor() as cursor:
            cursor.executemany("DELETE FROM recall_words WHERE rowid = %s", [(pk,) for pk in ids])

    def clear(self) -> None:
        """Forget everything."""
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM recall_words")

    def expression(self, terms: Sequence[Term], *, all_terms: bool) -> str:
        """Return terms in the database's own way of asking."""
        between = self.all_of if all_terms else self.any_of
        return between.join(f"({self.any_of.join(map(self._option, term.options))})" for term in terms)

    def _option(self, option: Option) -> str:
        return f"({self.all_of.join(map(self._piece, option))})"

    def _piece(self, piece: Piece) -> str:
        spellings = [self.token(piece.token, is_prefix=piece.is_prefix)]
        spellings += [self.token(word, is_prefix=False) for word in piece.near]
        return f"({self.any_of.join(spellings)})"
