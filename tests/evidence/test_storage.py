"""Files lie by their content and are never altered."""

from __future__ import annotations

import hashlib
import io
import os
import time
from pathlib import Path

import pytest
from pytest_django import Settings

from logbook.common.errors import InvalidInputError
from logbook.evidence import storage

DATA = b"as it was given"
DIGEST = hashlib.sha256(DATA).hexdigest()


def _kept(data: bytes = DATA) -> Path:
    with storage.received(io.BytesIO(data)) as file:
        storage.keep(file)
    return storage.original(file.sha256)


def test_it_keeps_a_file_under_its_hash(tmp_path: Path) -> None:
    assert _kept() == tmp_path / "evidence" / DIGEST[:2] / DIGEST[2:4] / DIGEST
    assert storage.original(DIGEST).read_bytes() == DATA


def test_it_leaves_a_kept_file_alone() -> None:
    before = _kept().stat()
    after = _kept().stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)


def test_a_kept_file_cannot_be_written(tmp_path: Path) -> None:
    assert _kept().stat().st_mode & 0o222 == 0


def test_it_forgets_a_file_that_was_not_kept(tmp_path: Path) -> None:
    with storage.received(io.BytesIO(DATA)):
        pass
    assert list((tmp_path / "evidence").rglob("*")) == [tmp_path / "evidence" / "incoming"]


def test_it_forgets_a_file_that_breaks_off(tmp_path: Path) -> None:
    class Broken(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            raise OSError("connection lost")

    with pytest.raises(OSError, match="lost"), storage.received(Broken()):
        pass
    assert not list((tmp_path / "evidence" / "incoming").iterdir())


def test_what_a_killed_process_left_goes_after_a_day(tmp_path: Path) -> None:
    _kept()
    incoming = tmp_path / "evidence" / "incoming"
    old, new = incoming / "old", incoming / "new"
    for left, age_s in ((old, storage.LEFT_AFTER_S + 60), (new, storage.LEFT_AFTER_S - 60)):
        left.write_bytes(b"half a capture")
        os.utime(left, (time.time() - age_s,) * 2)
    _kept(b"another")
    assert sorted(incoming.iterdir()) == [new]


def test_it_refuses_a_file_beyond_the_setting(settings: Settings, tmp_path: Path) -> None:
    settings.LOGBOOK_MAX_UPLOAD_MB = 1
    with (
        pytest.raises(InvalidInputError, match="larger than 1 MB.*LOGBOOK_MAX_UPLOAD_MB"),
        storage.received(io.BytesIO(b"x" * 1_000_001)),
    ):
        pass
    assert not list((tmp_path / "evidence" / "incoming").iterdir())


def test_it_takes_a_file_exactly_as_large_as_the_setting(settings: Settings) -> None:
    settings.LOGBOOK_MAX_UPLOAD_MB = 1
    with storage.received(io.BytesIO(b"x" * 1_000_000)) as file:
        assert file.size == 1_000_000


def test_it_refuses_an_empty_file() -> None:
    with pytest.raises(InvalidInputError, match="empty"), storage.received(io.BytesIO()):
        pass


@pytest.mark.parametrize("name", ["", "../../etc/passwd", DIGEST.upper(), DIGEST + "\n", DIGEST[:-1]])
def test_only_a_hash_names_a_file(name: str) -> None:
    with pytest.raises(ValueError, match="SHA-256"):
        storage.original(name)


def test_what_was_made_from_a_file_is_replaced_whole() -> None:
    _kept()
    storage.write_beside(DIGEST, "levels", b"old")
    storage.write_beside(DIGEST, "levels", b"new")
    assert storage.beside(DIGEST, "levels").read_bytes() == b"new"
    assert storage.original(DIGEST).read_bytes() == DATA
