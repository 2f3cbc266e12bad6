"""What one channel of a capture hears of another."""

from __future__ import annotations

import math

from logbook.core.errors import SignalError
from logbook.core.signals.audio import BANDWIDTH_HZ, audio_numbers
from logbook.core.signals.captures import AudioCapture
from logbook.core.signals.sine_fit import tone_amplitude


def crosstalk_db(
    capture: AudioCapture,
    driven: int = 0,
    quiet: int = 1,
    *,
    bandwidth_hz: tuple[float, float] = BANDWIDTH_HZ,
) -> float | None:
    """Level of the driven channel's tone in the quiet one, relative to the driven one.

    Parameters
    ----------
    capture : AudioCapture
        Two channels or more.
    driven, quiet : int
        Counted from 0, different.
    bandwidth_hz : tuple of float
        Where the tone is looked for.

    Returns
    -------
    float or None
        dB, below 0 as a rule; None where the quiet channel is silent.

    Raises
    ------
    SignalError
        When the channels are the same or missing, or the driven one holds no tone.

    Notes
    -----
    Compared at the one frequency through the analysis window, so the noise of the quiet channel counts
    only within two bins.
    """
    if driven == quiet:
        raise SignalError(
            "Crosstalk is between two channels.", given=f"{driven} and {quiet}", where="channel"
        )
    source, victim = capture.channel(driven), capture.channel(quiet)
    frequency = audio_numbers(capture, driven, bandwidth_hz=bandwidth_hz).frequency_hz
    if frequency is None:
        raise SignalError("The driven channel holds no tone.", where="driven channel")
    ratio = tone_amplitude(victim, capture.rate_hz, frequency) / tone_amplitude(
        source, capture.rate_hz, frequency
    )
    return 20 * math.log10(ratio) if ratio > 1e-15 else None
