"""Frequency sweeps in CSV."""

from __future__ import annotations

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals import read_sweep_csv

SEEDS = [
    b"Frequency (kHz),Gain (V/V)\n1,10\n2,1\n",
    b"f (Hz);Gain (dB);Phase (rad)\n10;-3,5;0,1\n100;-20;1,5\n",
    b"freq,dB,angle\n2000,1,0\n1000,2,90\n",
]


def read(data: bytes) -> None:
    """Read the bytes; what is read is finite and its frequencies rise from above 0."""
    for gain_unit in (None, "ratio"):
        try:
            found = read_sweep_csv(data, gain_unit=gain_unit)
        except SignalError:
            continue
        assert np.isfinite(found.gains_db).all()
        assert found.frequencies_hz[0] > 0
        assert (np.diff(found.frequencies_hz) > 0).all()
