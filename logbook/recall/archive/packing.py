"""Writing the zip file: the same bytes for the same content, with the hash of every member."""

from __future__ import annotations

import hashlib
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

FIXED_TIME = (1980, 1, 1, 0, 0, 0)
PIECE = 1024 * 1024
READABLE = 0o100644 << 16


@dataclass
class Packer:
    """Adds members one after the other; ``members`` is what the manifest says of each."""

    archive: zipfile.ZipFile
    members: dict[str, dict[str, str | int]] = field(default_factory=dict)

    def add(self, name: str, pieces: Iterable[bytes], *, is_packed: bool = True) -> int:
        """Write a member piece by piece; returns how many pieces there were."""
        info = zipfile.ZipInfo(name, FIXED_TIME)
        info.compress_type = zipfile.ZIP_DEFLATED if is_packed else zipfile.ZIP_STORED
        info.external_attr = READABLE
        info.create_system = 3
        digest, size, count = hashlib.sha256(), 0, 0
        with self.archive.open(info, "w", force_zip64=True) as member:
            for piece in pieces:
                digest.update(piece)
                size += len(piece)
                count += 1
                member.write(piece)
        self.members[name] = {"sha256": digest.hexdigest(), "size": size}
        return count

    def add_text(self, name: str, text: str) -> None:
        """Write a member that is one text."""
        self.add(name, [text.encode()])


def content_hash(members: dict[str, dict[str, str | int]], folders: tuple[str, ...]) -> str:
    """Return one hash over the members of some folders, equal where their content is."""
    digest = hashlib.sha256()
    for name in sorted(name for name in members if name.startswith(folders)):
        digest.update(f"{members[name]['sha256']}  {name}\n".encode())
    return digest.hexdigest()


def pieces_of(path: Path) -> Iterator[bytes]:
    """Yield a file piece by piece."""
    with path.open("rb") as stream:
        while piece := stream.read(PIECE):
            yield piece
