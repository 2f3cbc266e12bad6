"""WAV files, written by SciPy where it can, and lying ones."""

from __future__ import annotations

import contextlib
import io
import struct
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.io import wavfile

from logbook.core.errors import CoreError, SignalError
from logbook.core.signals import audio_numbers, read_wav

RAMP = np.linspace(-1, 1, 64, endpoint=False).reshape(32, 2)


def written(samples: Any, rate_hz: int = 44_100) -> bytes:
    file = io.BytesIO()
    wavfile.write(file, rate_hz, samples)
    return file.getvalue()


def built(form: bytes, body: bytes, claimed: int | None = None) -> bytes:
    size = struct.pack("<I", len(body) if claimed is None else claimed)
    chunks = b"WAVEfmt " + struct.pack("<I", len(form)) + form + b"data" + size + body
    return b"RIFF" + struct.pack("<I", len(chunks)) + chunks


def form(tag: int, channels: int, bits: int, rate_hz: int = 48_000) -> bytes:
    align = channels * bits // 8
    return struct.pack("<HHIIHH", tag, channels, rate_hz, rate_hz * align, align, bits)


@pytest.mark.parametrize(("kind", "scale"), [("i2", 2**15), ("i4", 2**31), ("f4", 1), ("f8", 1)])
def test_it_reads_what_scipy_writes(kind: str, scale: int) -> None:
    found = read_wav(written((RAMP * scale).astype(kind)))
    assert found.rate_hz == 44_100
    assert np.array_equal(found.samples, RAMP.T)


def test_it_reads_24_bits() -> None:
    body = b"".join(int(value).to_bytes(3, "little", signed=True) for value in (-(2**23), -1, 0, 2**22))
    found = read_wav(built(form(1, 1, 24), body))
    assert found.samples.tolist() == [[-1, -(2.0**-23), 0, 0.5]]


def test_it_reads_the_extensible_form() -> None:
    tail = struct.pack("<HHIH", 22, 16, 0, 1) + bytes.fromhex("000000001000800000aa00389b71")
    found = read_wav(built(form(0xFFFE, 1, 16) + tail, struct.pack("<2h", 0, 16_384)))
    assert found.samples.tolist() == [[0, 0.5]]


@pytest.mark.parametrize("claimed", [0xFFFFFFFF, 0, 1_000_000, 5])
def test_a_lying_header_gives_the_frames_that_are_there_and_says_so(claimed: int) -> None:
    found = read_wav(built(form(1, 1, 16), struct.pack("<3h", 1, 2, 3) + b"\0", claimed))
    assert found.samples.shape[1] == (2 if claimed == 5 else 3)
    assert "claims" in found.notes[0]


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"RIFX\0\0\0\0WAVE",
        built(form(2, 1, 16), b"\0\0"),
        built(form(1, 1, 8), b"\0\0"),
        built(form(1, 0, 16), b"\0\0"),
        built(form(1, 1, 16, 0), b"\0\0"),
        built(form(1, 2, 16), b"\0\0"),
        built(form(3, 1, 32), struct.pack("<f", float("nan"))),
        built(form(3, 1, 32), bytes.fromhex("0100a07f")),
        built(form(1, 1, 16)[:10], b"\0\0"),
        built(form(1, 65, 16), b"\0" * 130),
    ],
    ids=[
        "empty",
        "RIFX",
        "ADPCM",
        "8 bit",
        "no channel",
        "no rate",
        "part of a frame",
        "nan",
        "signalling nan",
        "short fmt",
        "many",
    ],
)
def test_it_refuses_what_it_cannot_read(data: bytes) -> None:
    with pytest.raises(SignalError):
        read_wav(data)


@pytest.mark.parametrize("cap", ["max_bytes", "max_values", "max_channels"])
def test_it_keeps_to_its_caps(cap: str) -> None:
    with pytest.raises(SignalError):
        read_wav(written((RAMP * 2**15).astype("i2")), **{cap: 1})


@given(st.integers(0, 43), st.binary(min_size=1, max_size=6), st.integers(0, 172))
def test_a_spoilt_header_lets_only_our_own_errors_leave(place: int, noise: bytes, length: int) -> None:
    data = bytearray(written((RAMP * 2**15).astype("i2")))
    data[place : place + len(noise)] = noise
    with contextlib.suppress(CoreError):
        audio_numbers(read_wav(bytes(data[:length])))
