"""Audio in WAV."""

from __future__ import annotations

import struct

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals import read_wav


def _wav(form: int, bits: int, samples: bytes, *, channels: int = 1, extra: bytes = b"") -> bytes:
    align = channels * bits // 8
    fmt = struct.pack("<HHIIHH", form, channels, 48000, 48000 * align, align, bits) + extra
    chunks = b"fmt " + struct.pack("<I", len(fmt)) + fmt + b"data" + struct.pack("<I", len(samples)) + samples
    return b"RIFF" + struct.pack("<I", 4 + len(chunks)) + b"WAVE" + chunks


_SUBFORMAT = bytes.fromhex("0100000000001000800000aa00389b71")
SEEDS = [
    _wav(1, 16, bytes(range(16)), channels=2),
    _wav(1, 24, bytes(range(12))),
    _wav(3, 32, struct.pack("<4f", 0.0, 0.5, -0.5, 1.0)),
    _wav(3, 64, struct.pack("<2d", 0.25, -1.0)),
    _wav(0xFFFE, 16, bytes(8), extra=struct.pack("<HHI", 22, 16, 4) + _SUBFORMAT),
]


def read(data: bytes) -> None:
    """Read the bytes; what is read is finite and no larger than what came in."""
    try:
        found = read_wav(data)
    except SignalError:
        return
    assert np.isfinite(found.samples).all()
    assert found.samples.size * found.bits // 8 <= len(data)
