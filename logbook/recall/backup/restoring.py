"""Putting a backup back: everything is checked before anything is changed."""

from __future__ import annotations

import os
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from logbook.accounts.models import User
from logbook.projects.models import Project
from logbook.recall.backup.databases import put_back
from logbook.recall.backup.manifest import FILES, BackupError, Manifest, checked_manifest, opened, pieces_in


@dataclass(frozen=True)
class Restored:
    """What was put back; ``migrations`` is how many the database of the backup still lacks."""

    manifest: Manifest
    migrations: int


def restore(path: Path, *, replace: bool) -> Restored:
    """Put a whole site back: first the files, which are only ever added, then the database in one step."""
    with opened(path) as backup:
        manifest = checked_manifest(backup)
        lacking = _check_fits(manifest)
        if not replace:
            _check_is_empty()
        with tempfile.TemporaryDirectory(dir=settings.LOGBOOK_DATA, prefix=".restore-") as scratch:
            database = Path(scratch) / "database"
            _unpack(backup, manifest.snapshot, database)
            for name in manifest.files:
                _put_file(backup, name, Path(scratch))
            put_back(database)
    return Restored(manifest, lacking)


def _check_fits(manifest: Manifest) -> int:
    """Return how many migrations the backup lacks, having refused one this site cannot take."""
    if manifest.database != connection.vendor:
        message = (
            f"the backup holds a {manifest.database} database, and this site runs on {connection.vendor}; "
            "move projects between them with export_archive and import_archive"
        )
        raise BackupError(message)
    # Those that were squashed may stand in an older database under their old names.
    ours = {f"{app}.{name}" for app, name in MigrationLoader(connection).disk_migrations}
    newer = sorted(set(manifest.migrations) - ours)
    if newer:
        message = f"the backup was made by a newer version of the site ({newer[0]}); install that one first"
        raise BackupError(message)
    return len(ours - set(manifest.migrations))


def _check_is_empty() -> None:
    tables = set(connection.introspection.table_names())
    for model in (Project, User):
        if model._meta.db_table in tables and model._default_manager.exists():
            message = (
                "this site is not empty, and restoring would replace all of it: name an empty data folder "
                "and database, or say --replace after a backup of what is here"
            )
            raise BackupError(message)


def _put_file(backup: zipfile.ZipFile, name: str, scratch: Path) -> None:
    target: Path = settings.LOGBOOK_DATA / name.removeprefix(FILES)
    target.parent.mkdir(parents=True, exist_ok=True)
    whole = scratch / "file"
    _unpack(backup, name, whole)
    whole.chmod(0o444 if target.parts[-4:-3] == ("evidence",) and "." not in target.name else 0o644)
    whole.replace(target)


def _unpack(backup: zipfile.ZipFile, name: str, target: Path) -> None:
    with target.open("wb") as stream:
        for piece in pieces_in(backup, name):
            stream.write(piece)
        stream.flush()
        os.fsync(stream.fileno())
