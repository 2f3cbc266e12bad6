"""Reading a capture, and its traces as they are drawn: one x axis and some rows of samples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from logbook.core.signals.captures import AudioCapture, Sweep, Waveform
from logbook.core.signals.sweep_csv import read_sweep_csv
from logbook.core.signals.wav import read_wav
from logbook.core.signals.waveform_csv import read_waveform_csv
from logbook.evidence.choices import EvidenceKind

Floats = NDArray[np.float64]
Capture = Waveform | Sweep | AudioCapture


@dataclass(frozen=True, eq=False)
class Trace:
    """One row of samples with its name and unit."""

    name: str
    unit: str
    samples: Floats


@dataclass(frozen=True, eq=False)
class Traces:
    """What is drawn of a capture; ``x`` holds an x for each sample only where the steps are uneven."""

    x_name: str
    x_unit: str
    start: float
    step: float
    x: Floats | None
    rows: tuple[Trace, ...]


def capture_of(kind: str, data: bytes, parameters: Mapping[str, Any]) -> Capture:
    """Read the bytes of a capture; the core refuses what it cannot read whole."""
    if kind == EvidenceKind.AUDIO:
        return read_wav(data)
    if kind == EvidenceKind.SWEEP:
        return read_sweep_csv(data, gain_unit=parameters.get("gain_unit"))
    return read_waveform_csv(data, interval_s=parameters.get("interval_s"))


def traces_of(capture: Capture) -> Traces:
    """Return what is drawn of a capture."""
    if isinstance(capture, Waveform):
        rows = tuple(Trace(one.name, one.unit, one.samples) for one in capture.channels)
        step = capture.interval_s or 0.0
        return Traces("time", "s", capture.start_s, step, capture.times_s, rows)
    if isinstance(capture, Sweep):
        gain = Trace("gain", "dB", capture.gains_db)
        rows = (gain,) if capture.phases_deg is None else (gain, Trace("phase", "°", capture.phases_deg))
        return Traces("frequency", "Hz", 0.0, 0.0, capture.frequencies_hz, rows)
    rows = tuple(Trace(f"channel {place + 1}", "FS", row) for place, row in enumerate(capture.samples))
    return Traces("time", "s", 0.0, 1 / capture.rate_hz, None, rows)
