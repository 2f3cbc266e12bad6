"""Reading a capture, and its traces as they are drawn: one x axis and some rows of samples."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from logbook.core.signals.captures import AudioCapture, Sweep, Waveform
from logbook.core.signals.levels import levels_over_time
from logbook.core.signals.spectrum import SHORTEST, line_levels
from logbook.core.signals.sweep_csv import read_sweep_csv
from logbook.core.signals.wav import read_wav
from logbook.core.signals.waveform_csv import read_waveform_csv
from logbook.evidence.choices import Drawn, EvidenceKind

Floats = NDArray[np.float64]
Capture = Waveform | Sweep | AudioCapture
# One period of the lowest tone that is heard, 20 Hz.
LEVEL_BLOCK_S = 0.05
FEWEST_BLOCKS = 64
FLOOR_DB = -200.0
SILENCE = 1e-10


@dataclass(frozen=True, eq=False)
class Trace:
    """One row of samples with its name and unit."""

    name: str
    unit: str
    samples: Floats


@dataclass(frozen=True, eq=False)
class Traces:
    """What is drawn of a capture; ``x`` holds an x for each sample only where the steps are uneven.

    ``says`` is how the rows were made of the samples, where they are not the samples.
    """

    x_name: str
    x_unit: str
    start: float
    step: float
    x: Floats | None
    rows: tuple[Trace, ...]
    says: str = ""


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


def drawn_of(capture: Capture) -> Iterator[tuple[Drawn, Traces]]:
    """Yield everything that is drawn of a capture."""
    yield Drawn.SAMPLES, traces_of(capture)
    if isinstance(capture, AudioCapture):
        rows = [(f"channel {place + 1}", "dBFS", row) for place, row in enumerate(capture.samples)]
        # 0 dBFS is the rms of a full-scale sine (AES17).
        yield from _spectrum(rows, capture.rate_hz, full_scale=math.sqrt(0.5))
        yield from _level(capture)
    elif isinstance(capture, Waveform) and capture.interval_s is not None:
        traces = [(one.name, _level_unit(one.unit), one.samples) for one in capture.channels]
        yield from _spectrum(traces, 1 / capture.interval_s, full_scale=1.0)


def _spectrum(
    rows: Sequence[tuple[str, str, Floats]], rate_hz: float, *, full_scale: float
) -> Iterator[tuple[Drawn, Traces]]:
    """Yield the spectrum, where the record is long enough for one."""
    if rows[0][2].size < SHORTEST:
        return
    found = [(name, unit, line_levels(samples, rate_hz)) for name, unit, samples in rows]
    lines = found[0][2]
    says = (
        f"Seven-term Blackman-Harris window over {lines.used} samples: a line every {lines.line_hz:.4g} Hz. "
        f"A sine reads its rms, up to {lines.scalloping_db:.2g} dB less between two lines; noise reads what "
        f"lies in {lines.noise_hz:.3g} Hz. Lines more than {-FLOOR_DB:g} dB below the strongest stand there."
    )
    traces = tuple(Trace(name, unit, _decibels(one.rms, full_scale)) for name, unit, one in found)
    yield Drawn.SPECTRUM, Traces("frequency", "Hz", lines.line_hz, lines.line_hz, None, traces, says)


def _level(capture: AudioCapture) -> Iterator[tuple[Drawn, Traces]]:
    """Yield rms and peak over time, where the record is long enough for some blocks."""
    frames = capture.samples.shape[1]
    block = min(round(LEVEL_BLOCK_S * capture.rate_hz), frames // FEWEST_BLOCKS)
    if block < 1:
        return
    found = [levels_over_time(row, block) for row in capture.samples]
    rms = [_decibels(one, math.sqrt(0.5)) for one, _ in found]
    peaks = [_decibels(one, 1.0) for _, one in found]
    rows = tuple(
        Trace(f"channel {place} {name}", "dBFS", row)
        for name, of in (("rms", rms), ("peak", peaks))
        for place, row in enumerate(of, start=1)
    )
    step = block / capture.rate_hz
    says = (
        f"Level of each {1000 * step:.4g} ms: rms, where a full-scale sine is 0 dBFS, or the largest sample, "
        "where full scale is 0 dBFS."
    )
    yield Drawn.LEVEL, Traces("time", "s", 0.0, step, None, rows, says)


def _decibels(values: Floats, reference: float) -> Floats:
    """Return levels, none further below the largest than can be drawn."""
    lowest = max(float(values.max()), SILENCE) * 10 ** (FLOOR_DB / 20)
    levels: Floats = 20 * np.log10(np.maximum(values, lowest) / reference)
    return levels


def _level_unit(unit: str) -> str:
    return "dBV" if unit == "V" else f"dB re 1 {unit}".rstrip()
