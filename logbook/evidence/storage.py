"""Where the files lie: each by its SHA-256, written once, never overwritten, never altered.

What is made from a file (smaller pictures, levels of a capture) lies beside it under the same name with a
suffix and may be made again at any time.

Where a bucket is set, it is what counts: a file is kept there first, and the folder holds only copies, each
fetched when it is first asked for and hashed on the way. A copy may be deleted at any time.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from django.conf import settings

from logbook.common.disk import settle
from logbook.common.errors import InvalidInputError
from logbook.evidence.bucket import StorageError, bucket

PIECE = 1024 * 1024
# No file takes a day to come in: what is older was left by a process that was killed meanwhile.
LEFT_AFTER_S = 24 * 3600
_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class Received:
    """A file that has come in whole but is not kept yet."""

    path: Path
    sha256: str
    size: int


@contextmanager
def received(stream: IO[bytes]) -> Iterator[Received]:
    """Take a file in piece by piece, hashing it; it is gone afterwards unless ``keep`` was called.

    Raises
    ------
    InvalidInputError
        The file is empty or larger than the setting allows.
    """
    incoming = _made(_root() / "incoming")
    _sweep(incoming)
    handle, name = tempfile.mkstemp(dir=incoming)
    path = Path(name)
    try:
        with os.fdopen(handle, "wb") as target:
            digest, size = _copied(stream, target)
            target.flush()
            os.fsync(target.fileno())
        yield Received(path, digest, size)
    finally:
        path.unlink(missing_ok=True)


def _sweep(incoming: Path) -> None:
    for left in incoming.iterdir():
        # Another process may be sweeping too.
        with contextlib.suppress(FileNotFoundError):
            if left.stat().st_mtime < time.time() - LEFT_AFTER_S:
                left.unlink()


def _copied(stream: IO[bytes], target: IO[bytes]) -> tuple[str, int]:
    most = settings.LOGBOOK_MAX_UPLOAD_MB * 1_000_000
    digest, size = hashlib.sha256(), 0
    while piece := stream.read(PIECE):
        size += len(piece)
        if size > most:
            message = (
                f"the file is larger than {settings.LOGBOOK_MAX_UPLOAD_MB} MB; shorten it, or ask who runs "
                "the site to raise LOGBOOK_MAX_UPLOAD_MB"
            )
            raise InvalidInputError.of(
                "file", message, allowed=f"up to {settings.LOGBOOK_MAX_UPLOAD_MB} MB", code="too_large"
            )
        digest.update(piece)
        target.write(piece)
    if not size:
        raise InvalidInputError.of("file", "the file is empty", allowed="a file with content", code="empty")
    return digest.hexdigest(), size


def keep(file: Received) -> None:
    """Keep a file for good; one with the same content is already kept and stays as it is."""
    final = _place(file.sha256)
    if (far := bucket()) is not None:
        far.put_new(_name_of(final), file.path, file.sha256)
    _made(final.parent)
    file.path.chmod(0o444)
    with contextlib.suppress(FileExistsError):
        # A link, other than a rename, fails when the name is taken.
        final.hardlink_to(file.path)
    # The folders above may be new, and a name in one of them counts only once it is on the disk too.
    for folder in (final.parent, final.parent.parent, _root()):
        settle(folder)


def is_intact(sha256: str) -> bool:
    """Say whether a file is there and still what its hash says; of a bucket, what lies there."""
    if (far := bucket()) is not None:
        return far.sha256_of(_name_of(_place(sha256))) == sha256
    try:
        with original(sha256).open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest() == sha256
    except FileNotFoundError:
        return False


def original(sha256: str) -> Path:
    """Return where the file with this hash lies; from a bucket it is fetched first.

    Raises
    ------
    StorageError
        The bucket cannot be reached, or what lies there is not what its name says.
    """
    return _brought(_place(sha256), sha256)


def beside(sha256: str, suffix: str) -> Path:
    """Return where what is made from a file lies; from a bucket it is fetched first."""
    return _brought(_place(sha256, f".{suffix}"))


def _place(sha256: str, suffix: str = "") -> Path:
    if not _SHA256.fullmatch(sha256):
        message = f"{sha256[:80]!r} is not a SHA-256"
        raise ValueError(message)
    return _root() / sha256[:2] / sha256[2:4] / f"{sha256}{suffix}"


def _name_of(path: Path) -> str:
    return path.relative_to(_root()).as_posix()


def _brought(path: Path, sha256: str = "") -> Path:
    """Fetch a copy that is not here yet; one that is not what its name says never gets that name."""
    far = bucket()
    if far is None or path.exists():
        return path
    handle, name = tempfile.mkstemp(dir=_made(_root() / "incoming"))
    try:
        with os.fdopen(handle, "wb") as target:
            found = far.fetch(_name_of(path), target)
        if found is not None:
            if sha256 and found != sha256:
                message = f"what the bucket {far.name} holds as {sha256} is not what its name says"
                raise StorageError(message)
            _made(path.parent)
            Path(name).chmod(0o444)
            Path(name).replace(path)
    finally:
        Path(name).unlink(missing_ok=True)
    return path


def write_beside(sha256: str, suffix: str, data: bytes) -> None:
    """Write what was made from a file; a reader sees the old or the new, never half."""
    path = _place(sha256, f".{suffix}")
    if (far := bucket()) is not None:
        far.put(_name_of(path), data)
    handle, name = tempfile.mkstemp(dir=_made(path.parent), prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as target:
            target.write(data)
            target.flush()
            os.fsync(target.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    settle(path.parent)


def _root() -> Path:
    folder: Path = settings.LOGBOOK_DATA
    return folder / "evidence"


def _made(folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    return folder
