"""What a backup says of itself, and whether it says the truth."""

from __future__ import annotations

import hashlib
import json
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from logbook.common.errors import DomainError

FORMAT = 1
MANIFEST = "manifest.json"
FILES = "files/"
# A manifest of a million files is far smaller.
LARGEST_MANIFEST = 500_000_000
PIECE = 1024 * 1024


class BackupError(DomainError):
    """A backup that cannot be made, or that cannot be restored here; nothing was changed."""

    code = "backup"


@dataclass(frozen=True)
class Manifest:
    """What a backup holds. ``members`` gives the SHA-256 and size of each file in it."""

    format: int
    made_at: str
    database: str
    snapshot: str
    migrations: list[str]
    counts: dict[str, int]
    members: dict[str, dict[str, str | int]]

    @property
    def files(self) -> list[str]:
        """Return the names of the files of the data folder."""
        return [name for name in self.members if name.startswith(FILES)]

    def as_bytes(self) -> bytes:
        """Return the manifest as it is written."""
        return json.dumps(asdict(self), indent=1, sort_keys=True).encode()


def checked_manifest(backup: zipfile.ZipFile) -> Manifest:
    """Read the manifest of a backup and hold every file in it against its hash."""
    manifest = _read(backup)
    names = backup.namelist()
    listed = {MANIFEST, *manifest.members}
    if len(names) != len(set(names)) or set(names) != listed:
        odd = sorted(set(names) ^ listed)[:3]
        message = f"the backup does not hold what its manifest lists: {', '.join(odd) or 'a name twice'}"
        raise BackupError(message)
    for name, said in manifest.members.items():
        _check_name(name)
        if _sha256_of(backup, name) != said["sha256"]:
            message = f"the backup is damaged: {name} is not what was written; use another backup"
            raise BackupError(message)
    return manifest


def _read(backup: zipfile.ZipFile) -> Manifest:
    try:
        entry = backup.getinfo(MANIFEST)
        if entry.file_size > LARGEST_MANIFEST:
            message = "the manifest of this backup is too large to be one"
            raise BackupError(message)
        given: dict[str, Any] = json.loads(backup.read(entry))
        if given["format"] != FORMAT:
            message = f"this is a backup of format {given['format']!r}; this version reads format {FORMAT}"
            raise BackupError(message)
        return Manifest(**given)
    except (KeyError, TypeError, ValueError, zipfile.BadZipFile, zlib.error) as error:
        message = "this is no backup of a site: its manifest cannot be read"
        raise BackupError(message) from error


def _check_name(name: str) -> None:
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts or "\\" in name or "\0" in name:
        message = f"the backup holds a file outside of it: {name[:80]!r}"
        raise BackupError(message)


def _sha256_of(backup: zipfile.ZipFile, name: str) -> str:
    digest = hashlib.sha256()
    try:
        for piece in pieces_in(backup, name):
            digest.update(piece)
    except (zipfile.BadZipFile, zlib.error, EOFError):
        return "unreadable"
    return digest.hexdigest()


def pieces_in(backup: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """Yield one file of a backup piece by piece."""
    with backup.open(name) as stream:
        while piece := stream.read(PIECE):
            yield piece


def opened(path: Path) -> zipfile.ZipFile:
    """Open a backup for reading."""
    try:
        return zipfile.ZipFile(path)
    except (OSError, zipfile.BadZipFile) as error:
        message = f"{path} cannot be read as a backup: {error}"
        raise BackupError(message) from error
