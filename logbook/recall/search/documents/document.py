"""What a document is made of, and where documents of one kind come from."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import TypeVar

from django.db.models import Model, QuerySet

LONGEST_BODY = 20_000
Row = TypeVar("Row", bound=Model)
Ids = Collection[int] | None


@dataclass(frozen=True)
class Found:
    """One object as it is to be found. ``address`` fills the address of its page, after the project."""

    object_id: int
    project_id: int | None
    key: str
    title: str
    body: str
    address: tuple[object, ...]
    place: str = ""
    at: datetime | None = None
    for_everyone: bool = False


@dataclass(frozen=True)
class Source:
    """One kind of document.

    ``rows`` makes those of some objects, or of all; an object it leaves out is not to be found. ``follows``
    says whose changes make them anew: a table, and the way from its rows to the ids of the objects.
    ``page`` is the name of the page's address, which begins with the project where ``is_of_project``.
    """

    kind: str
    rows: Callable[[Ids], Iterator[Found]]
    follows: tuple[tuple[type[Model], str], ...]
    page: str
    is_of_project: bool = True


def chosen(rows: QuerySet[Row], ids: Ids) -> QuerySet[Row]:
    """Return the rows with these ids, or all, in the order of their ids."""
    return (rows if ids is None else rows.filter(pk__in=ids)).order_by("pk")


def lines(*texts: object) -> str:
    """Return what there is of some texts, a line each."""
    return "\n".join(text for text in map(str, texts) if text)[:LONGEST_BODY]


def titled(key: object, name: str) -> str:
    """Return a key and what it stands for as one line."""
    return f"{key} {name}".strip()


def noon_of(day: date | None) -> datetime | None:
    """Return a moment for something of which only the day is on record."""
    return datetime.combine(day, time(12), UTC) if day else None
