"""Reading what a revision does differently."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.common.errors import NotFoundError
from logbook.projects.models import Change, Revision


def changes_of(revision: Revision) -> QuerySet[Change]:
    """Return the standing changes of a revision with what they touch, as recorded. Two queries."""
    return (
        Change.objects.filter(revision=revision, withdrawn_at__isnull=True)
        .select_related("revision", "recorded_by")
        .prefetch_related("subsystems")
        .order_by("id")
    )


def change_of(revision: Revision, key: str) -> Change:
    """Return the standing change with ``key``."""
    found = changes_of(revision).filter(key=key).first()
    if found is None:
        message = f"revision {revision} has no change {key!r}"
        raise NotFoundError(message)
    return found
