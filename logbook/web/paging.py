"""Pages of a long list, by key and without a count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from django.db.models import Model, QuerySet

Row = TypeVar("Row", bound=Model)
PAGE_SIZE = 50


@dataclass(frozen=True)
class Slice(Generic[Row]):
    """Some rows of a list, and the key to go on after; empty at the end."""

    rows: Sequence[Row]
    after: str


def newest_first(rows: QuerySet[Row], after: str, *, size: int = PAGE_SIZE) -> Slice[Row]:
    """Return the next ``size`` rows below the id ``after``. One query."""
    ordered = rows.order_by("-id")
    if after.isdecimal() and len(after) < 19:
        ordered = ordered.filter(pk__lt=int(after))
    found = list(ordered[: size + 1])
    return Slice(found[:size], str(found[size - 1].pk) if len(found) > size else "")
