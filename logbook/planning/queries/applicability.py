"""Targets that do not apply to a revision by decision."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.common.errors import NotFoundError
from logbook.planning.models import NotApplicable
from logbook.projects.models import Revision


def not_applicable_on(revision: Revision) -> QuerySet[NotApplicable]:
    """Return the standing decisions of a revision, oldest first. One query."""
    rows = NotApplicable.objects.filter(revision=revision, withdrawn_at__isnull=True)
    return rows.select_related("target", "revision", "recorded_by").order_by("id")


def not_applicable_of(revision: Revision, key: str) -> NotApplicable:
    """Return the standing decision on the target with ``key``."""
    found = not_applicable_on(revision).filter(target__key=key).first()
    if found is None:
        message = f"nobody decided that {key!r} does not apply to revision {revision}"
        raise NotFoundError(message)
    return found
