"""Evidence that people carried over by hand."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.common.errors import NotFoundError
from logbook.planning.models import CarriedOver
from logbook.projects.models import Revision


def carry_overs_of(revision: Revision) -> QuerySet[CarriedOver]:
    """Return what was carried over to a revision by hand and not withdrawn. One query."""
    return (
        CarriedOver.objects.filter(revision=revision, withdrawn_at__isnull=True)
        .select_related("target", "revision", "recorded_by")
        .order_by("id")
    )


def carry_over_of(revision: Revision, key: str) -> CarriedOver:
    """Return the standing carry-over of the target with ``key``."""
    found = carry_overs_of(revision).filter(target__key=key).first()
    if found is None:
        message = f"{key!r} is not carried over to revision {revision} by hand"
        raise NotFoundError(message)
    return found
