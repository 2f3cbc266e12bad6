"""What a file is, found by reading it. Its name and what the sender calls it decide nothing."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.signals.sweep_csv import read_sweep_csv
from logbook.core.signals.waveform_csv import read_waveform_csv
from logbook.evidence import heic
from logbook.evidence.choices import EvidenceKind
from logbook.evidence.gerber import bundle
from logbook.evidence.gerber.layers import layers_in
from logbook.evidence.images import formats, picture_in

CAPTURES = (EvidenceKind.WAVEFORM, EvidenceKind.SWEEP, EvidenceKind.AUDIO)
SAMPLE = 64 * 1024
_PICTURE_SIGNS = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"GIF87a", b"GIF89a", b"II*\0", b"MM\0*")
_CELLS = re.compile(r"[,;\t]")
_NUMBER = re.compile(r"\s*\"?[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?\"?\s*", re.ASCII)
_FREQUENCY = re.compile(r"\bfreq|\bhz\b|\(.?hz\)", re.I)
_CONTROL = re.compile(rb"[\x00-\x08\x0e-\x1a\x1c-\x1f]")
# What a file with such an ending holds; one with another ending promises nothing.
_ENDINGS = {
    "csv": {"text/csv"},
    "txt": {"text/plain", "text/csv"},
    "md": {"text/plain"},
    "wav": {"audio/wav"},
    "pdf": {"application/pdf"},
    "png": {"image/png"},
    "jpg": {"image/jpeg"},
    "jpeg": {"image/jpeg"},
    "gif": {"image/gif"},
    "webp": {"image/webp"},
    "tif": {"image/tiff"},
    "tiff": {"image/tiff"},
    "heic": {"image/heic"},
}


@dataclass(frozen=True)
class Identified:
    """Kind and media type of a file."""

    kind: EvidenceKind
    media_type: str


def identified(path: Path, *, wanted: str = "") -> Identified:
    """Say what a file is; ``wanted`` chooses where a text could be several things.

    Raises
    ------
    InvalidInputError
        It is nothing that is kept here, damaged, or not the kind that was asked for.
    """
    if wanted and wanted not in EvidenceKind.values:
        allowed = ", ".join(EvidenceKind.values)
        raise InvalidInputError.of("kind", f"no kind {wanted!r}", given=wanted, allowed=allowed)
    with path.open("rb") as stream:
        start = stream.read(SAMPLE)
    found = _by_signs(path, start) or _of_text(start, wanted)
    if wanted and found.kind != wanted:
        message = f"the file is a {found.kind.label}, not a {EvidenceKind(wanted).label}"
        raise InvalidInputError.of("kind", message, given=wanted, allowed=found.kind, code="other_kind")
    return found


def name_remark(name: str, media_type: str) -> str:
    """Return that name and content of a file disagree; empty where they do not."""
    ending = name.rpartition(".")[2].lower()
    if media_type in _ENDINGS.get(ending, {media_type}):
        return ""
    return f"The name ends with .{ending}, but the content is {media_type}; it is kept and served as that."


def _by_signs(path: Path, start: bytes) -> Identified | None:
    """Return what a file with an unmistakable beginning is; a picture is opened to make sure."""
    is_webp = start[:4] == b"RIFF" and start[8:12] == b"WEBP"
    is_heic = heic.is_heic(start)
    if is_heic and not heic.is_available():
        message = "HEIC pictures are not read here; export it as JPEG, or ask for the extra heif"
        raise InvalidInputError.of("file", message, allowed=", ".join(formats()), code="unreadable")
    if start.startswith(_PICTURE_SIGNS) or is_webp or is_heic:
        return Identified(EvidenceKind.PHOTO, picture_in(path).media_type)
    if start[:4] in (b"RIFF", b"RF64") and start[8:12] == b"WAVE":
        return Identified(EvidenceKind.AUDIO, "audio/wav")
    if start.startswith(bundle.SIGN):
        layers_in(path)
        return Identified(EvidenceKind.GERBER, bundle.MEDIA_TYPE)
    if start.startswith(b"%PDF-"):
        return Identified(EvidenceKind.DOCUMENT, "application/pdf")
    return None


def _of_text(start: bytes, wanted: str) -> Identified:
    is_utf16 = start[:2] in (b"\xff\xfe", b"\xfe\xff")
    if not is_utf16 and _CONTROL.search(start):
        message = "this is no kind of file that is kept here"
        allowed = f"pictures ({', '.join(formats())}), CSV, WAV, PDF, plain text and a ZIP of Gerber files"
        raise InvalidInputError.of("file", message, allowed=allowed, code="unknown_kind")
    if wanted in (EvidenceKind.WAVEFORM, EvidenceKind.SWEEP):
        return Identified(EvidenceKind(wanted), "text/csv")
    kind = EvidenceKind.DOCUMENT if wanted == EvidenceKind.DOCUMENT else _kind_of_text(start)
    return Identified(kind, "text/plain" if kind == EvidenceKind.DOCUMENT else "text/csv")


def _kind_of_text(start: bytes) -> EvidenceKind:
    """Return what the readers make of the first lines.

    Numbers that neither reader takes are a capture too: its analysis then says what is wrong with them.
    """
    whole = start if len(start) < SAMPLE else start[: start.rfind(b"\n") + 1]
    for reader, kind in ((read_sweep_csv, EvidenceKind.SWEEP), (read_waveform_csv, EvidenceKind.WAVEFORM)):
        try:
            reader(whole)
        except CoreError:
            continue
        return kind
    text = whole.decode("utf-16" if whole[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8", "replace")
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines or not _is_row(lines[-1]):
        return EvidenceKind.DOCUMENT
    return EvidenceKind.SWEEP if _FREQUENCY.search(lines[0]) else EvidenceKind.WAVEFORM


def _is_row(line: str) -> bool:
    cells = _CELLS.split(line)
    numbers = [cell for cell in cells if _NUMBER.fullmatch(cell)]
    return len(cells) > 1 and 2 * len(numbers) >= len(cells)
