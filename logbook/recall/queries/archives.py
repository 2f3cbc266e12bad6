"""Finding the archives that were asked for."""

from __future__ import annotations

from pathlib import Path

from django.db.models import QuerySet

from logbook.common.errors import NotFoundError
from logbook.projects.models import Project
from logbook.recall.archive.shelf import archive_path
from logbook.recall.choices import ExportState
from logbook.recall.models import Export


def exports_of(project: Project) -> QuerySet[Export]:
    """Return the archives asked for of a project, newest first. One query."""
    return Export.objects.filter(project=project).select_related("asked_by").order_by("-id")


def export_numbered(project: Project, number: int) -> Export:
    """Return one archive that was asked for."""
    found = exports_of(project).filter(pk=number).first()
    if found is None:
        message = f"{project} has no archive {number}"
        raise NotFoundError(message)
    return found


def is_at_work(export: Export) -> bool:
    """Say whether an archive is still being written or waits for it."""
    return export.state in {ExportState.WAITING, ExportState.RUNNING}


def file_of(export: Export) -> Path:
    """Return the file of an archive.

    Raises
    ------
    NotFoundError
        It is not ready, or a newer one took its place.
    """
    path = archive_path(export.pk)
    if not export.is_kept or not path.exists():
        message = f"{export} is not here: {export.get_state_display()}; ask for a new one"
        raise NotFoundError(message)
    return path


def file_name_of(export: Export) -> str:
    """Return the name an archive is saved under."""
    day = f"{export.finished_at:%Y-%m-%d}" if export.finished_at else "unfinished"
    return f"{export.project.slug}-{day}.zip"
