"""Waveforms in CSV."""

from __future__ import annotations

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals import read_waveform_csv

SEEDS = [
    b"Time (ms),CH1 (mV)\n0,10\n1,20\n2,10\n",
    b"Sample interval: 1e-6\nCH1 (V);CH2 (A)\n1,5;2\n2,5;3\n",
    b"Sample Rate,48000,Hz\nindex,CH1\n0,1.5\n1,2.5\n",
    b"Record Length,3,,0.0,1.5\nInterval,1e-3,,0.001,2\n,,,0.002,3\n",
    b"x,V\n0,nan\n1,2\n",
]


def read(data: bytes) -> None:
    """Read the bytes; what is read is finite and its times increase."""
    try:
        found = read_waveform_csv(data)
    except SignalError:
        return
    assert all(np.isfinite(channel.samples).all() for channel in found.channels)
    assert len({channel.samples.size for channel in found.channels}) == 1
    assert (np.diff(found.times) > 0).all()
