"""How a file leaves the site, the same through every door.

Rule: nothing that somebody sent is ever shown by a browser as a page of this site. A picture is the one
that was encoded anew; everything else is handed over for saving, with the type found by its content. The
original of a picture may say where it was taken: it goes only to those who may record, and only for saving.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from logbook.common.errors import NotFoundError
from logbook.evidence import storage
from logbook.evidence.choices import EvidenceKind
from logbook.evidence.images import SHOWN_TYPE
from logbook.evidence.models import Evidence
from logbook.evidence.queries import shown_path

WHOLE_PICTURE = "full.webp"
HEADERS: Final = {
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cache-Control": "private, max-age=31536000, immutable",
}


@dataclass(frozen=True)
class Served:
    """A file to hand over."""

    path: Path
    media_type: str
    name: str
    is_download: bool


def served(evidence: Evidence, suffix: str = WHOLE_PICTURE) -> Served:
    """Return the file of a piece of evidence; of a picture the version that is shown.

    Raises
    ------
    NotFoundError
        The picture was not prepared yet.
    """
    if evidence.kind == EvidenceKind.PHOTO:
        stem = evidence.name.rpartition(".")[0] or evidence.name
        return Served(shown_path(evidence, suffix), SHOWN_TYPE, f"{stem}.webp", is_download=False)
    path = storage.original(evidence.sha256)
    return Served(path, evidence.media_type, evidence.name, is_download=True)


def original_served(evidence: Evidence) -> Served:
    """Return the file exactly as it was given, for saving.

    Raises
    ------
    NotFoundError
        The file is missing from the disk.
    """
    path = storage.original(evidence.sha256)
    if not path.exists():
        message = f"the file of {evidence} is missing"
        raise NotFoundError(message)
    return Served(path, evidence.media_type, evidence.name, is_download=True)
