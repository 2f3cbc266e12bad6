"""Reading the zip file: everything about it is checked before anything inside is believed.

Rule: nothing is ever unpacked to a place an archive names. Members are read as streams, by name.
"""

from __future__ import annotations

import hashlib
import json
import re
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from logbook.recall.archive import format as fixed
from logbook.recall.archive.format import refused

PIECE = 1024 * 1024
_SHA256 = re.compile(r"[0-9a-f]{64}")
_STRANGE = re.compile(r"[\x00-\x1f\x7f\\:]")
# The reader of zip files trusts their numbers and names; ones that lie come out as the last three.
DAMAGED = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    OSError,
    RuntimeError,
    OverflowError,
    ValueError,
    struct.error,
)


@dataclass(frozen=True)
class Opened:
    """A zip file whose structure is sound; ``says`` is its manifest."""

    archive: zipfile.ZipFile
    says: dict[str, Any]

    @contextmanager
    def member(self, name: str) -> Iterator[IO[bytes]]:
        """Open one member for reading; damage inside it refuses the archive."""
        try:
            with self.archive.open(name) as stream:
                yield stream
        except DAMAGED as error:
            raise refused(f"it is damaged ({error})", where=name) from error

    @property
    def members(self) -> dict[str, dict[str, Any]]:
        """Return what the manifest says of each member."""
        found: dict[str, dict[str, Any]] = self.says["members"]
        return found


@contextmanager
def opened(path: Path | IO[bytes]) -> Iterator[Opened]:
    """Open an archive, having checked its structure, its version and the hash of every member.

    Raises
    ------
    RefusedArchiveError
        It is damaged, not an archive, of a newer version, or made to do harm.
    """
    try:
        archive = zipfile.ZipFile(path)
    except DAMAGED as error:
        raise refused(f"this is no whole zip file ({error})", allowed="a file made by export") from error
    with archive:
        _check_structure(archive)
        found = Opened(archive, _manifest(archive))
        _check_version(found.says)
        _check_manifest(found)
        for name in sorted(found.members):
            _check_hash(found, name)
        yield found


def _check_structure(archive: zipfile.ZipFile) -> None:
    infos = archive.infolist()
    if len(infos) > fixed.MOST_MEMBERS:
        raise refused(
            f"it holds {len(infos):,} members", given=len(infos), allowed=f"up to {fixed.MOST_MEMBERS:,}"
        )
    seen: set[str] = set()
    for info in infos:
        _check_member(info)
        if info.filename.casefold() in seen:
            raise refused("this name is there twice", where=info.filename)
        seen.add(info.filename.casefold())
    if sum(info.file_size for info in infos) > fixed.MOST_BYTES:
        raise refused("unpacked it would be too large", allowed=f"up to {fixed.MOST_BYTES:,} bytes")
    # Members that share their bytes would burst to many times what each of them seems to.
    if sum(info.compress_size for info in infos) > archive.start_dir:
        raise refused("its members lie over each other", allowed="each member at a place of its own")


def _check_member(info: zipfile.ZipInfo) -> None:
    shown = repr(info.orig_filename[:120])
    parts = info.filename.split("/")
    is_astray = info.filename != info.orig_filename or _STRANGE.search(info.filename)
    if is_astray or any(part in {"", ".", ".."} for part in parts):
        raise refused("a member may only lie inside the archive", where=shown, allowed="folder/name")
    if info.flag_bits & 0x1:
        raise refused("it is encrypted", where=shown)
    mode = info.external_attr >> 16
    if stat.S_IFMT(mode) not in {0, stat.S_IFREG}:
        raise refused("it is no plain file but a link or a device", where=shown)
    if info.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
        raise refused(
            "it is packed in a way that is not read here", where=shown, allowed="stored or deflated"
        )
    is_large = info.file_size > fixed.RATIO_FROM_BYTES
    if is_large and info.file_size > fixed.HIGHEST_RATIO * max(info.compress_size, 1):
        raise refused(f"it would burst to {info.file_size:,} bytes", where=shown)
    if info.filename.startswith(f"{fixed.DATA}/") and info.file_size > fixed.MOST_DATA_BYTES:
        raise refused("it is too large", where=shown, allowed=f"up to {fixed.MOST_DATA_BYTES:,} bytes")


def _manifest(archive: zipfile.ZipFile) -> dict[str, Any]:
    try:
        if archive.getinfo(fixed.MANIFEST).file_size > fixed.MOST_MANIFEST_BYTES:
            raise refused("it is too large", where=fixed.MANIFEST)
        says = json.loads(archive.read(fixed.MANIFEST))
    except KeyError as error:
        raise refused(f"it has no {fixed.MANIFEST}; it is no archive of a project") from error
    except (*DAMAGED, ValueError, RecursionError) as error:
        raise refused(f"it cannot be read ({error})", where=fixed.MANIFEST) from error
    if not isinstance(says, dict):
        raise refused("it holds no object", where=fixed.MANIFEST)
    return says


def _check_version(says: dict[str, Any]) -> None:
    if says.get("format") != fixed.FORMAT:
        raise refused("it is no archive of a project", given=says.get("format"), allowed=fixed.FORMAT)
    version = says.get("version")
    if isinstance(version, int) and version > fixed.VERSION:
        message = (
            f"it is of version {version} of the format and this site reads version {fixed.VERSION}; "
            "update the site"
        )
        raise refused(message, given=version, allowed=str(fixed.VERSION))
    if isinstance(version, bool) or version != fixed.VERSION:
        raise refused("it names no version of the format", given=version, allowed=str(fixed.VERSION))


def _check_manifest(found: Opened) -> None:
    """Compare the members with what the manifest names, none more and none fewer."""
    members, counts, project = (found.says.get(name) for name in ("members", "counts", "project"))
    if not isinstance(members, dict) or not isinstance(counts, dict) or not isinstance(project, dict):
        raise refused("it lacks project, counts or members", where=fixed.MANIFEST)
    named = {fixed.MANIFEST, *members}
    there = set(found.archive.namelist())
    for name in sorted(named ^ there):
        raise refused("it is missing" if name in named else "the manifest does not name it", where=name)
    for name, one in members.items():
        if not isinstance(one, dict) or not _SHA256.fullmatch(str(one.get("sha256"))):
            raise refused("the manifest gives no SHA-256 of it", where=name)


def _check_hash(found: Opened, name: str) -> None:
    digest = hashlib.sha256()
    with found.member(name) as stream:
        while piece := stream.read(PIECE):
            digest.update(piece)
    if digest.hexdigest() != found.members[name]["sha256"]:
        raise refused("it was altered: its SHA-256 is not the one of the manifest", where=name)
