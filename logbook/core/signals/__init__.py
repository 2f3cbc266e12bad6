"""Captures and the numbers taken from them: waveforms, sweeps, audio, masks, memory tests.

Rule: readers take bytes with caps and give a checked capture or a `SignalError` that names the place;
numbers carry their unit in their name or beside it; what a capture does not carry is None with a note,
never a guess. No file is opened here and nothing is drawn.
"""

from __future__ import annotations

from logbook.core.signals.audio import AudioNumbers, audio_numbers
from logbook.core.signals.captures import AudioCapture, Channel, Sweep, Waveform
from logbook.core.signals.crosstalk import crosstalk_db
from logbook.core.signals.decimation import (
    Level,
    Pyramid,
    View,
    min_max_between,
    min_max_levels,
    min_max_view,
)
from logbook.core.signals.loudness import loudness_lkfs
from logbook.core.signals.mask import Mask, MaskCheck, check_mask, parse_mask
from logbook.core.signals.memory_tests import MemoryTest, memory_test
from logbook.core.signals.numbers import SignalNumber
from logbook.core.signals.sweep import Corners, Flatness, corners, flatness, gain_at, group_delay
from logbook.core.signals.sweep_csv import read_sweep_csv
from logbook.core.signals.wav import read_wav
from logbook.core.signals.waveform import WaveformNumbers, waveform_numbers
from logbook.core.signals.waveform_csv import read_waveform_csv
from logbook.core.signals.weighting import weighting_db, weighting_gain

__all__ = [
    "AudioCapture",
    "AudioNumbers",
    "Channel",
    "Corners",
    "Flatness",
    "Level",
    "Mask",
    "MaskCheck",
    "MemoryTest",
    "Pyramid",
    "SignalNumber",
    "Sweep",
    "View",
    "Waveform",
    "WaveformNumbers",
    "audio_numbers",
    "check_mask",
    "corners",
    "crosstalk_db",
    "flatness",
    "gain_at",
    "group_delay",
    "loudness_lkfs",
    "memory_test",
    "min_max_between",
    "min_max_levels",
    "min_max_view",
    "parse_mask",
    "read_sweep_csv",
    "read_wav",
    "read_waveform_csv",
    "waveform_numbers",
    "weighting_db",
    "weighting_gain",
]
