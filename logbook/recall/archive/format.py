"""What is fixed about the format, and how much of it is taken in."""

from __future__ import annotations

from typing import Final

from logbook.common.errors import FieldProblem, InvalidInputError

FORMAT: Final = "board-logbook-archive"
VERSION: Final = 1
MANIFEST: Final = "manifest.json"
DATA, EVIDENCE, NOTES, COPY = "data", "evidence", "notes", "copy"
# The content: equal in two archives of the same project, whenever and wherever they were made.
CONTENT: Final = (f"{DATA}/", f"{EVIDENCE}/")

MOST_MEMBERS: Final = 200_000
MOST_BYTES: Final = 50_000_000_000
MOST_DATA_BYTES: Final = 4_000_000_000
MOST_MANIFEST_BYTES: Final = 64_000_000
LONGEST_LINE: Final = 8_000_000
# Lines of the largest projects shrink to about a fortieth; only what was made to burst shrinks further.
HIGHEST_RATIO: Final = 250
RATIO_FROM_BYTES: Final = 5_000_000

# Evidence by its media type; what has no ending here is kept without one, so that no browser runs it.
ENDINGS: Final = {
    "text/csv": ".csv",
    "text/plain": ".txt",
    "audio/wav": ".wav",
    "application/pdf": ".pdf",
    "application/zip": ".zip",
    "image/png": ".png",
    "image/jpeg": ".jpg",
    "image/gif": ".gif",
    "image/webp": ".webp",
    "image/tiff": ".tif",
    "image/heic": ".heic",
}


class RefusedArchiveError(InvalidInputError):
    """An archive that is damaged, hostile or not for this version; nothing was changed."""

    code = "archive_refused"


def refused(message: str, *, where: str = "", given: object = "", allowed: str = "") -> RefusedArchiveError:
    """Return the error for an archive that is not taken, naming the place inside it."""
    said = f"{where}: {message}" if where else message
    message = f"{said}; nothing was changed"
    problem = FieldProblem("file", message, str(given)[:200], allowed, RefusedArchiveError.code)
    return RefusedArchiveError(message, problems=[problem])


def data_name(record: str) -> str:
    """Return the member that holds the lines of a record type."""
    return f"{DATA}/{record}.jsonl"


def evidence_name(sha256: str, media_type: str) -> str:
    """Return the member that holds a file of evidence."""
    return f"{EVIDENCE}/{sha256}{ENDINGS.get(media_type, '')}"
