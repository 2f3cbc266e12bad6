"""Reading the record of changes."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.common.models import ChangeRecord


def changes_of_project(project_id: int, *, kind: str = "", text: str = "") -> QuerySet[ChangeRecord]:
    """Return what was changed in a project, newest first; page by ``id``. One query."""
    changes = ChangeRecord.objects.filter(project_id=project_id).select_related("actor").order_by("-id")
    if kind:
        changes = changes.filter(kind=kind)
    return changes.filter(title__icontains=text) if text else changes


def kinds_changed_in(project_id: int) -> list[str]:
    """Return the kinds of things changed in a project, by name. One query."""
    kinds = ChangeRecord.objects.filter(project_id=project_id).order_by("kind")
    return list(kinds.values_list("kind", flat=True).distinct())
