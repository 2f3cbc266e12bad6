"""A bundle of Gerber files: one ZIP, read within bounds."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import IO

from logbook.common.errors import InvalidInputError

SIGN = b"PK\x03\x04"
MEDIA_TYPE = "application/zip"
MOST_FILES = 100
MOST_BYTES = 60_000_000
LONGEST_NAME = 120
# The oldest date a ZIP can hold: the same files always give the same bundle.
NO_DATE = (1980, 1, 1, 0, 0, 0)


def packed(files: Iterable[tuple[str, bytes]]) -> bytes:
    """Return several files as one bundle."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, data in sorted(files):
            bundle.writestr(zipfile.ZipInfo(_plain(name), NO_DATE), data, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def texts_in(source: Path | IO[bytes]) -> Iterator[tuple[str, str]]:
    """Yield name and text of each file of a bundle.

    Raises
    ------
    InvalidInputError
        It is no ZIP, is locked or damaged, holds too many files, two of one name, or too much once unpacked.
    """
    try:
        with zipfile.ZipFile(source) as bundle:
            yield from _texts(bundle)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, ValueError, RuntimeError) as error:
        if isinstance(error, InvalidInputError):
            raise
        raise _refused(f"the ZIP cannot be read: {error}", "damaged") from error
    except Exception as error:
        # Broken compressed data raises an error of whichever module unpacks it.
        if type(error).__module__ in {"zlib", "lzma", "_lzma"}:
            raise _refused(f"the ZIP cannot be read: {error}", "damaged") from error
        raise


def _texts(bundle: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    entries = [entry for entry in bundle.infolist() if not entry.is_dir()]
    if len(entries) > MOST_FILES:
        raise _refused(f"the ZIP holds {len(entries)} files", "too_many", f"up to {MOST_FILES} files")
    left, seen = MOST_BYTES, set[str]()
    for entry in entries:
        if entry.flag_bits & 0x1:
            raise _refused("the ZIP is locked with a password", "locked")
        # What an entry says of its size decides nothing: only what really comes out is counted.
        with bundle.open(entry) as stream:
            data = stream.read(left + 1)
        left -= len(data)
        if left < 0:
            allowed = f"up to {MOST_BYTES // 1_000_000} MB"
            raise _refused("the ZIP holds too much once unpacked", "too_large", allowed)
        name = _plain(entry.filename)
        if name in seen:
            raise _refused(f"the ZIP holds two files called {name}", "two_of_a_name")
        seen.add(name)
        yield name, data.decode("utf-8", "replace")


def _plain(name: str) -> str:
    """Return the last part of a path."""
    return name.replace("\\", "/").rstrip("/").rsplit("/", 1)[-1][-LONGEST_NAME:] or "file"


def _refused(message: str, code: str, allowed: str = "a ZIP of Gerber and drill files") -> InvalidInputError:
    return InvalidInputError.of("file", message, allowed=allowed, code=code)
