"""Published values of the topic signals, found by kind, and signals with known answers."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from logbook.core.signals import AudioCapture, Channel, Waveform
from tests.core.samples.golden import agrees, entries, of_kind

__all__ = ["agrees", "audio", "kind", "one", "tones", "wave"]


def kind(*kinds: str) -> list[Any]:
    return of_kind("signals", *kinds)


def one(name: str) -> dict[str, Any]:
    return entries("signals")[name]


def audio(samples: Any, rate_hz: int = 48_000) -> AudioCapture:
    return AudioCapture(rate_hz, np.atleast_2d(np.asarray(samples, dtype=float)), 32, is_float=True)


def tones(count: int, parts: dict[float, float], rate_hz: int = 48_000) -> Any:
    times = np.arange(count) / rate_hz
    return sum(size * np.cos(2 * math.pi * hertz * times + hertz) for hertz, size in parts.items())


def wave(samples: Any, interval_s: float = 1.0, times_s: Any = None) -> Waveform:
    channel = Channel("CH1", "V", np.asarray(samples, dtype=float))
    if times_s is None:
        return Waveform((channel,), 0.0, interval_s)
    times = np.asarray(times_s, dtype=float)
    return Waveform((channel,), float(times[0]), None, times)
