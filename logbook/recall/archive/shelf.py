"""Where archives lie that were asked for on a page."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings


def archive_path(number: int) -> Path:
    """Return where an archive lies, in a folder that is there."""
    folder: Path = settings.LOGBOOK_DATA / "archives"
    folder.mkdir(parents=True, exist_ok=True)
    return folder / f"{number}.zip"


def drop_archive(number: int) -> None:
    """Take the file of an archive away."""
    archive_path(number).unlink(missing_ok=True)
