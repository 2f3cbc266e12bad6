"""Audio out of WAV bytes: PCM of 16, 24 and 32 bits, floating point of 32 and 64."""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats
from logbook.core.signals.captures import AudioCapture

MAX_BYTES = 400_000_000
MAX_CHANNELS = 64
MAX_VALUES = 30_000_000
MAX_CHUNKS = 1_000
_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
# Tail of the sub-format identifier of WAVE_FORMAT_EXTENSIBLE (RFC 2361, appendix A, from memory).
_SUBFORMAT_TAIL = bytes.fromhex("000000001000800000aa00389b71")
_ALLOWED = "16, 24 or 32 bit PCM, 32 or 64 bit float"


@dataclass(frozen=True, slots=True)
class _Format:
    is_float: bool
    channels: int
    rate_hz: int
    bits: int

    @property
    def frame_bytes(self) -> int:
        return self.channels * self.bits // 8


def read_wav(
    data: bytes, *, max_bytes: int = MAX_BYTES, max_values: int = MAX_VALUES, max_channels: int = MAX_CHANNELS
) -> AudioCapture:
    """Read a WAV file.

    Parameters
    ----------
    data : bytes
        RIFF or RF64 file with a ``fmt`` and a ``data`` chunk, also WAVE_FORMAT_EXTENSIBLE.
    max_bytes, max_values, max_channels : int
        Caps on the file, on frames times channels, and on the channels.

    Returns
    -------
    AudioCapture
        Samples relative to full scale; a file cut short or with a wrong length keeps the frames that are
        there and says so in its notes.

    Raises
    ------
    SignalError
        When it is no WAV file, is coded otherwise, contradicts itself, holds no whole frame or a sample
        that is no finite number, or is beyond a cap.

    References
    ----------
    Multimedia Programming Interface and Data Specifications 1.0 (1991), WAVE; RFC 2361 (1998).
    """
    if len(data) > max_bytes:
        raise SignalError(f"The file has {len(data)} bytes.", allowed=f"up to {max_bytes}", where="file")
    if len(data) < 12 or data[:4] not in (b"RIFF", b"RF64") or data[8:12] != b"WAVE":
        raise SignalError(
            "The file is no WAV file.",
            given=data[:12].decode("ascii", "replace"),
            allowed="RIFF with WAVE",
            where="file",
        )
    form, start, claimed = _chunks(data)
    if not 0 < form.channels <= max_channels:
        raise SignalError(
            f"The file has {form.channels} channels.", allowed=f"1 to {max_channels}", where="fmt chunk"
        )
    present = len(data) - start
    endless = claimed == 0xFFFFFFFF or (claimed == 0 and present > 0)
    frames = (present if endless else min(claimed, present)) // form.frame_bytes
    if frames == 0:
        raise SignalError(
            "The file holds no whole frame of audio.", given=f"{present} bytes", where="data chunk"
        )
    if frames * form.channels > max_values:
        raise SignalError(
            f"The file holds {frames} frames of {form.channels} channels.",
            allowed=f"{max_values} values",
            where="file",
        )
    notes: tuple[str, ...] = ()
    if endless or claimed > present or claimed % form.frame_bytes:
        notes = (f"The header claims {claimed} bytes of audio; the {frames} whole frames are used.",)
    samples = _samples(memoryview(data)[start : start + frames * form.frame_bytes], form)
    return AudioCapture(
        form.rate_hz, samples.reshape(frames, form.channels).T.copy(), form.bits, form.is_float, notes
    )


def _chunks(data: bytes) -> tuple[_Format, int, int]:
    """Return the format, where the samples start, and how many bytes the header claims."""
    form: _Format | None = None
    place = 12
    for _ in range(MAX_CHUNKS):
        if place + 8 > len(data):
            break
        name, size = data[place : place + 4], int(struct.unpack_from("<I", data, place + 4)[0])
        if name == b"fmt ":
            form = _format(data[place + 8 : place + 8 + size])
        elif name == b"data":
            if form is None:
                raise SignalError(
                    "The samples come before their format.", allowed="fmt before data", where="data chunk"
                )
            return form, place + 8, size
        place += 8 + size + size % 2
    raise SignalError("The file holds no samples.", allowed="a fmt and a data chunk", where="file")


def _format(chunk: bytes) -> _Format:
    if len(chunk) < 16:
        raise SignalError(
            "The format is cut short.", given=f"{len(chunk)} bytes", allowed="16 or more", where="fmt chunk"
        )
    tag, channels, rate, _, align, bits = struct.unpack_from("<HHIIHH", chunk)
    if tag == _EXTENSIBLE:
        if len(chunk) < 40 or chunk[26:40] != _SUBFORMAT_TAIL:
            raise SignalError("The extended format is unknown.", allowed=_ALLOWED, where="fmt chunk")
        tag = struct.unpack_from("<H", chunk, 24)[0]
    if (tag, bits) not in {(_PCM, 16), (_PCM, 24), (_PCM, 32), (_FLOAT, 32), (_FLOAT, 64)}:
        raise SignalError(
            f"Audio of format {tag} with {bits} bits is not read.",
            given=f"{tag}, {bits}",
            allowed=_ALLOWED,
            where="fmt chunk",
        )
    if rate == 0 or align != channels * bits // 8:
        raise SignalError(
            f"The format contradicts itself: {channels} channels, {bits} bits, {align} bytes, {rate} Hz.",
            where="fmt chunk",
        )
    return _Format(tag == _FLOAT, channels, rate, bits)


def _samples(raw: memoryview, form: _Format) -> Floats:
    if form.is_float:
        # A signalling NaN is told by a warning; what is not finite is refused like any other.
        with np.errstate(invalid="ignore"):
            return np.frombuffer(raw, dtype=f"<f{form.bits // 8}").astype(np.float64)
    if form.bits == 24:
        wide = np.zeros((len(raw) // 3, 4), dtype=np.uint8)
        wide[:, 1:] = np.frombuffer(raw, dtype=np.uint8).reshape(-1, 3)
        return wide.view("<i4").reshape(-1) / 2.0**31
    return np.frombuffer(raw, dtype=f"<i{form.bits // 8}") / 2.0 ** (form.bits - 1)
