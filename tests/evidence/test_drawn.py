"""Level over time and spectrum of captures, against tones whose level is known by definition."""

from __future__ import annotations

import numpy as np
import pytest

from logbook.core.signals.captures import AudioCapture, Channel, Sweep, Waveform
from logbook.evidence.choices import Drawn
from logbook.evidence.traces import Traces, drawn_of

RATE = 48_000


def _drawn(capture: AudioCapture | Waveform | Sweep) -> dict[str, Traces]:
    return dict(drawn_of(capture))


def _tone(hz: float, peak: float, frames: int = RATE) -> AudioCapture:
    samples = peak * np.sin(2 * np.pi * hz / RATE * np.arange(frames))
    return AudioCapture(RATE, samples.reshape(1, -1), 24)


def test_a_full_scale_sine_reads_0_dbfs_in_level_and_spectrum() -> None:
    # AES17: 0 dBFS is the rms of a sine that just fills the range.
    drawn = _drawn(_tone(1000, 1.0, frames=4 * RATE))
    level, spectrum = drawn[Drawn.LEVEL].rows[0], drawn[Drawn.SPECTRUM]
    assert level.samples == pytest.approx(0, abs=0.01)
    peak = int(spectrum.rows[0].samples.argmax())
    assert spectrum.start + peak * spectrum.step == pytest.approx(1000)
    assert spectrum.rows[0].samples[peak] == pytest.approx(0, abs=0.001)


@pytest.mark.parametrize("hz", [997.25, 997.5, 12_345.6])
def test_a_tone_between_two_lines_reads_no_less_than_is_said(hz: float) -> None:
    spectrum = _drawn(_tone(hz, 0.1))[Drawn.SPECTRUM]
    highest = spectrum.rows[0].samples.max()
    # Scalloping of the seven-term window as its long form computes: 0.42 dB half way.
    assert -20.5 < highest < -19.99
    assert "0.4" in spectrum.says


def test_the_line_of_a_small_tone_beside_a_large_one_stands_alone() -> None:
    capture = _tone(1000, 0.9)
    small = 1e-5 * np.sin(2 * np.pi * 11_700 / RATE * np.arange(RATE))
    spectrum = _drawn(AudioCapture(RATE, capture.samples + small, 24))[Drawn.SPECTRUM]
    levels = spectrum.rows[0].samples
    assert levels[11_700 - 1] == pytest.approx(-100, abs=0.01)
    assert levels[11_600] < -150


def test_a_waveform_in_volts_has_a_spectrum_in_dbv() -> None:
    # 1 V rms is 0 dBV.
    volts = np.sqrt(2) * np.sin(2 * np.pi * 50 / 1000 * np.arange(1000)) + 3
    drawn = _drawn(Waveform((Channel("CH1", "V", volts),), 0.0, 1e-3))
    trace = drawn[Drawn.SPECTRUM].rows[0]
    assert (trace.unit, trace.samples.max()) == ("dBV", pytest.approx(0, abs=0.001))


def test_the_level_follows_a_burst_and_its_peak() -> None:
    burst = _tone(1000, 0.5, frames=4 * RATE)
    burst.samples[0, 2 * RATE :] = 0
    burst.samples[0, -100] = 1.0
    rms, peak = _drawn(burst)[Drawn.LEVEL].rows
    assert (rms.name, peak.name) == ("channel 1 rms", "channel 1 peak")
    assert rms.samples[2] == pytest.approx(-6.02, abs=0.01)
    assert rms.samples[len(rms.samples) // 2 + 3] < -200
    assert peak.samples.max() == 0


def test_silence_is_drawn() -> None:
    drawn = _drawn(AudioCapture(RATE, np.zeros((2, 4800)), 16))
    assert all(np.isfinite(row.samples).all() for traces in drawn.values() for row in traces.rows)


def test_uneven_steps_and_sweeps_have_no_spectrum() -> None:
    times = np.cumsum(1.0 + np.arange(100) % 2)
    uneven = Waveform((Channel("CH1", "V", np.zeros(100)),), 0.0, None, times)
    assert list(_drawn(uneven)) == list(_drawn(Sweep(times, np.zeros(100)))) == [Drawn.SAMPLES]


def test_a_few_samples_have_no_spectrum() -> None:
    assert list(_drawn(Waveform((Channel("CH1", "V", np.zeros(63)),), 0.0, 1.0))) == [Drawn.SAMPLES]
