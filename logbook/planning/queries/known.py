"""What was known at a moment."""

from __future__ import annotations

from datetime import datetime
from typing import TypeVar

from django.db.models import Model, Q, QuerySet

M = TypeVar("M", bound=Model)


def known_at(rows: QuerySet[M], until: datetime | None) -> QuerySet[M]:
    """Return what was recorded by then."""
    return rows if until is None else rows.filter(recorded_at__lte=until)


def standing_at(rows: QuerySet[M], until: datetime | None) -> QuerySet[M]:
    """Return what was recorded by then and not withdrawn by then: neither can be backdated."""
    stands = Q(withdrawn_at__isnull=True)
    return known_at(rows, until).filter(stands if until is None else stands | Q(withdrawn_at__gt=until))
