"""What a file is, by its content."""

from __future__ import annotations

from pathlib import Path

import pytest

from logbook.common.errors import InvalidInputError
from logbook.evidence.kinds import identified
from tests.evidence import files


def _kind(tmp_path: Path, data: bytes, wanted: str = "") -> tuple[str, str]:
    path = tmp_path / "given"
    path.write_bytes(data)
    found = identified(path, wanted=wanted)
    return str(found.kind), found.media_type


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        pytest.param(files.picture(), ("photo", "image/png"), id="picture"),
        pytest.param(files.square_wave(), ("waveform", "text/csv"), id="waveform"),
        pytest.param(files.sweep(), ("sweep", "text/csv"), id="sweep"),
        pytest.param(files.tone(), ("audio", "audio/wav"), id="audio"),
        pytest.param(files.PDF, ("document", "application/pdf"), id="pdf"),
        pytest.param(b"Read R89 first.\nThen C12.\n", ("document", "text/plain"), id="text"),
        pytest.param(b"part,note\nR89,removed\n", ("document", "text/plain"), id="table of words"),
        pytest.param(files.PAGE, ("document", "text/plain"), id="page"),
        pytest.param(files.DRAWING, ("document", "text/plain"), id="drawing"),
        pytest.param(b"Time (s),V\n0,1\n1,nan\n", ("waveform", "text/csv"), id="waveform with a hole"),
        pytest.param(b"Freq (Hz),Gain\n1,1\n2,0.5\n", ("sweep", "text/csv"), id="sweep without unit"),
    ],
)
def test_it_says_what_a_file_is(tmp_path: Path, data: bytes, expected: tuple[str, str]) -> None:
    assert _kind(tmp_path, data) == expected


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(b"PK\x03\x04" + b"\0" * 100, id="zip"),
        pytest.param(b"\x7fELF" + b"\0" * 100, id="program"),
        pytest.param(files.POLYGLOT, id="script that begins like a picture"),
        pytest.param(b"\xff\xd8\xff\xe0" + b"<script>" * 10, id="script that begins like a photo"),
    ],
)
def test_it_refuses_what_is_nothing(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(InvalidInputError):
        _kind(tmp_path, data)


def test_a_long_capture_is_known_by_its_beginning(tmp_path: Path) -> None:
    assert _kind(tmp_path, files.square_wave(20_000))[0] == "waveform"


def test_a_text_may_be_kept_as_a_document(tmp_path: Path) -> None:
    assert _kind(tmp_path, files.sweep(), "document") == ("document", "text/plain")


@pytest.mark.parametrize("wanted", ["audio", "sweep", "document"])
def test_a_picture_stays_a_picture(tmp_path: Path, wanted: str) -> None:
    with pytest.raises(InvalidInputError, match="the file is a photo"):
        _kind(tmp_path, files.picture(), wanted)
