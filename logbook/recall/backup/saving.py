"""Writing a backup."""

from __future__ import annotations

import contextlib
import os
import tempfile
import zipfile
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import connection

from logbook.common import clock
from logbook.common.disk import settle
from logbook.recall.archive.packing import PIECE, Packer, pieces_of
from logbook.recall.backup.databases import SNAPSHOTS, migrations_applied, snapshot
from logbook.recall.backup.manifest import FILES, FORMAT, MANIFEST, Manifest

# Made again by themselves, or half received. A secret that opens the site does not belong in a backup.
LEFT_OUT = {"static", "secret-key", "evidence/incoming"}
COUNTED = ("projects.Project", "boards.Board", "bench.Measurement", "evidence.Evidence", "accounts.User")
PACKED_ALREADY = {".zip", ".png", ".jpg", ".webp"}


def back_up(path: Path) -> Manifest:
    """Write the whole site to one file; it is there whole or not at all, and replaces an older one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".backup-") as scratch:
        database, written = Path(scratch) / "database", Path(scratch) / "backup.zip"
        snapshot(database)
        with zipfile.ZipFile(written, "w") as archive:
            manifest = _write(archive, database)
        with written.open("rb") as stream:
            os.fsync(stream.fileno())
        written.chmod(0o600)
        written.replace(path)
    settle(path.parent)
    return manifest


def _write(archive: zipfile.ZipFile, database: Path) -> Manifest:
    packer = Packer(archive)
    name = SNAPSHOTS[connection.vendor]
    packer.add(name, pieces_of(database))
    for file in kept_files(settings.LOGBOOK_DATA):
        inside = FILES + file.relative_to(settings.LOGBOOK_DATA).as_posix()
        # An archive somebody asked for may be taken away meanwhile; evidence never is.
        with contextlib.suppress(FileNotFoundError), file.open("rb") as stream:
            pieces = iter(partial(stream.read, PIECE), b"")
            packer.add(inside, pieces, is_packed=file.suffix not in PACKED_ALREADY)
    manifest = Manifest(
        format=FORMAT,
        made_at=clock.now().isoformat(timespec="seconds"),
        database=connection.vendor,
        snapshot=name,
        migrations=migrations_applied(),
        counts={label: apps.get_model(label)._default_manager.count() for label in COUNTED},
        members=packer.members,
    )
    archive.writestr(MANIFEST, manifest.as_bytes())
    return manifest


def kept_files(folder: Path) -> Iterator[Path]:
    """Yield the files of the data folder that must be kept, beside the database, in a fixed order."""
    for file in sorted(folder.rglob("*")):
        inside = file.relative_to(folder).as_posix()
        is_left_out = any(inside == name or inside.startswith(f"{name}/") for name in LEFT_OUT)
        is_database = inside.startswith("logbook.sqlite3")
        is_in_the_making = any(part.startswith(".") for part in file.relative_to(folder).parts)
        if file.is_file() and not (is_left_out or is_database or is_in_the_making):
            yield file
