"""The captures of the demo, computed here so that every number in them has a known answer.

They are invented like the rest of the demo: signals as an instrument would have stored them, with noise
from a fixed seed.
"""

from __future__ import annotations

import io
import math
import wave
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
SEED = 6
# From 10 to 90 % is 0.8 of a straight ramp.
RAMP_SHARE = 0.8

INPUT_V, INPUT_RISE_S = 12.0, 6.1e-3
RAIL_V, RAIL_RISE_S = 3.317, 2.4e-3
LOCK_OUT_V = 8.8
GLITCH_AT_S, GLITCH_V = 14.2e-3, 2.71

RIPPLE_V, RIPPLE_HZ = 9.8e-3, 400e3

DIP_V, DIP_AT_S = 54.5e-3, 11e-6
LOAD_LOW_A, LOAD_HIGH_A, LOAD_SLOPE_A_S = 0.2, 0.6, 1e6

SWEEP_LOW_DB, SWEEP_LOW_HZ = -0.17, 20.0
SWEEP_HIGH_DB, SWEEP_HIGH_HZ = -0.12, 40e3
SWEEP_ORDER = 16

TONE_HZ, TONE_DBFS = 1000.0, -1.0
RATE_HZ, SECONDS = 96_000, 2
BAND_HZ = (20.0, 20_000.0)
THDN_DB, THIRD_DB, NOISE_DB = -96.8, -99.0, -104.5


def soft_start() -> bytes:
    """Return how input and +3V3_D come up; one single sample of the rail sticks out."""
    noise = np.random.default_rng(SEED)
    times = np.arange(-10_000, 40_000) * 0.5e-6
    ramp_s = INPUT_RISE_S / RAMP_SHARE
    supply = INPUT_V * np.clip(times / ramp_s, 0, 1)
    starts = LOCK_OUT_V / INPUT_V * ramp_s
    rail = RAIL_V * np.clip((times - starts) / (RAIL_RISE_S / RAMP_SHARE), 0, 1)
    supply = _as_stored(supply + noise.normal(0, 8e-3, times.size), 4e-3)
    rail = _as_stored(rail + noise.normal(0, 3e-3, times.size), 1e-3)
    rail[int(np.abs(times - GLITCH_AT_S).argmin())] = GLITCH_V
    return _csv("Time (ms),TP1 (V),+3V3_D (V)", [times * 1e3, supply, rail], "%.4f,%.3f,%.3f")


def ripple() -> bytes:
    """Return the ripple of +3V3_D, a triangle, without its mean."""
    noise = np.random.default_rng(SEED)
    times = np.arange(5_000) * 10e-9
    phase = (times * RIPPLE_HZ) % 1
    volts = RIPPLE_V * (np.abs(2 * phase - 1) - 0.5) + noise.normal(0, 0.02e-3, times.size)
    return _csv("Time (us),+3V3_D (mV)", [times * 1e6, volts * 1e3], "%.2f,%.3f")


def load_step() -> bytes:
    """Return how far +3V3_D dips when the load steps up, with the current beside it."""
    noise = np.random.default_rng(SEED)
    times = np.arange(-1_000, 9_000) * 50e-9
    since = np.clip(times / DIP_AT_S, 0, None)
    volts = -DIP_V * since * np.exp(1 - since) + noise.normal(0, 0.1e-3, times.size)
    amps = np.clip(LOAD_LOW_A + LOAD_SLOPE_A_S * np.clip(times, 0, None), LOAD_LOW_A, LOAD_HIGH_A)
    amps += noise.normal(0, 1e-3, times.size)
    columns = [times * 1e6, volts * 1e3, amps]
    return _csv("Time (us),+3V3_D (mV),load (A)", columns, "%.2f,%.2f,%.4f")


def sweep() -> bytes:
    """Return the gain of channel 1 from input to converter, relative to that at 1 kHz."""
    noise = np.random.default_rng(SEED)
    points = np.union1d(np.geomspace(2, 47_000, 319), [SWEEP_LOW_HZ, 1_000, SWEEP_HIGH_HZ])
    gains = sweep_db(points) + noise.normal(0, 0.002, points.size)
    return _csv("Frequency (Hz),Gain (dB)", [points, gains], "%.6g,%.4f")


def sweep_db(frequencies_hz: Floats) -> Floats:
    """Return the gain the sweep is made of: one coupling capacitor and the converter's steep filter."""
    low = 10 ** (-SWEEP_LOW_DB / 10) - 1
    high = 10 ** (-SWEEP_HIGH_DB / 10) - 1
    below = low * (SWEEP_LOW_HZ / frequencies_hz) ** 2
    above = high * (frequencies_hz / SWEEP_HIGH_HZ) ** (2 * SWEEP_ORDER)
    return np.asarray(-10 * np.log10((1 + below) * (1 + above)))


def tone() -> bytes:
    """Return a recording of 1 kHz with two harmonics and noise: WAV, 24 bit."""
    noise = np.random.default_rng(SEED)
    angle = 2 * math.pi * TONE_HZ / RATE_HZ * np.arange(RATE_HZ * SECONDS)
    peak = 10 ** (TONE_DBFS / 20)
    # What is left of THD+N when the third harmonic and the noise are taken out is the second.
    second = 10 ** (THDN_DB / 10) - 10 ** (THIRD_DB / 10) - 10 ** (NOISE_DB / 10)
    samples = peak * np.sin(angle)
    samples += peak * math.sqrt(second) * np.sin(2 * angle + 0.4)
    samples += peak * 10 ** (THIRD_DB / 20) * np.sin(3 * angle + 1.1)
    # Noise is white up to half the rate; only the share in the band counts.
    share = (BAND_HZ[1] - BAND_HZ[0]) / (RATE_HZ / 2)
    rms = peak / math.sqrt(2) * 10 ** (NOISE_DB / 20) / math.sqrt(share)
    samples += noise.normal(0, rms, samples.size)
    return _wav_24(samples)


def _as_stored(samples: Floats, step: float) -> Floats:
    """Round to the steps of the instrument's converter."""
    return np.asarray(np.round(samples / step) * step)


def _csv(head: str, columns: list[NDArray[np.floating[Any]]], layout: str) -> bytes:
    stream = io.BytesIO()
    np.savetxt(stream, np.column_stack(columns), fmt=layout, header=head, comments="", encoding="utf-8")
    return stream.getvalue()


def _wav_24(samples: Floats) -> bytes:
    codes = np.round(samples * (2**23 - 1)).astype("<i4")
    stream = io.BytesIO()
    with wave.open(stream, "wb") as target:
        target.setnchannels(1)
        target.setsampwidth(3)
        target.setframerate(RATE_HZ)
        # The three lower bytes of each number, the lowest first.
        target.writeframes(codes.view(np.uint8).reshape(-1, 4)[:, :3].tobytes())
    return stream.getvalue()


CAPTURES: dict[str, Callable[[], bytes]] = {
    "soft-start": soft_start,
    "ripple": ripple,
    "load-step": load_step,
    "sweep": sweep,
    "tone": tone,
}
