"""Lists paged by their key: what follows ``?after=``, at most ``?limit=``, never a count."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from rest_framework.request import Request

from api.parameters import whole_number
from logbook.common.errors import InvalidInputError

USUAL = 100
MOST = 500
Row = TypeVar("Row", bound=Model)


@dataclass(frozen=True)
class Page:
    """One page of rows and the key to ask for the next one with; none on the last."""

    rows: list[Any]
    next_after: Any

    def shown(self, show: Callable[[Any], Any]) -> dict[str, Any]:
        """Return the answer of a list."""
        return {"results": [show(row) for row in self.rows], "next_after": self.next_after}


def page_of(rows: QuerySet[Row], request: Request, *, key: str) -> Page:
    """Return the rows after the key asked for, in the order of ``key``."""
    limit = whole_number(request, "limit", least=1, most=MOST) or USUAL
    after: Any = request.query_params.get("after")
    if after is not None and key == "id":
        after = whole_number(request, "after")
    ordered = rows.order_by(key)
    if after is not None:
        ordered = ordered.filter(**{f"{key}__gt": after})
    found = list(ordered[: limit + 1])
    shown = found[:limit]
    more = len(found) > limit
    return Page(shown, getattr(shown[-1], key) if more else None)


def refuse_unknown_parameters(request: Request, allowed: tuple[str, ...]) -> None:
    """Refuse a filter that does not exist: ignoring it would answer another question."""
    for name in request.query_params:
        if name not in allowed:
            names = ", ".join(allowed)
            raise InvalidInputError.of(name, f"there is no parameter {name!r}", allowed=names, code="unknown")
