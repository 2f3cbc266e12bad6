"""What a capture is once it has been read: waveform, sweep, audio."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, finite_series, positive

# Floating-point audio may pass full scale, by some decibels.
LOUDEST = 1e6


@dataclass(frozen=True, slots=True, eq=False)
class Channel:
    """One trace of a waveform.

    Parameters
    ----------
    name : str
        As the file calls it.
    unit : str
        Unit of the samples; empty where the file names none.
    samples : numpy.ndarray
        Shape (n,), finite, in `unit`.
    """

    name: str
    unit: str
    samples: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Waveform:
    """Traces over one time axis.

    Parameters
    ----------
    channels : tuple of Channel
        At least one, all of the same length, at least 2 samples.
    start_s : float
        Time of the first sample.
    interval_s : float or None
        Step between samples; None where the steps are uneven.
    times_s : numpy.ndarray or None
        Shape (n,), strictly increasing; only where the steps are uneven.
    notes : tuple of str
        What was assumed while reading.
    """

    channels: tuple[Channel, ...]
    start_s: float
    interval_s: float | None
    times_s: Floats | None = None
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.channels:
            raise SignalError("A waveform has at least one channel.", where="waveform")
        lengths = {finite_series(one.samples, "samples", at_least=2).size for one in self.channels}
        if len(lengths) > 1:
            raise SignalError(
                "The channels have different lengths.", given=str(sorted(lengths)), where="waveform"
            )
        if (self.interval_s is None) == (self.times_s is None):
            raise SignalError("A waveform has either one step or its own times.", where="waveform")
        if not math.isfinite(self.start_s):
            raise SignalError(
                "A waveform starts at a finite time.", given=str(self.start_s), where="start time"
            )
        if self.interval_s is not None:
            positive(self.interval_s, "sample interval")
        if self.times_s is not None:
            times = finite_series(self.times_s, "times")
            if times.size not in lengths or not (np.diff(times) > 0).all():
                raise SignalError("The times do not increase from sample to sample.", where="times")

    @property
    def count(self) -> int:
        """Samples a channel."""
        return int(self.channels[0].samples.size)

    @property
    def times(self) -> Floats:
        """Time of each sample in seconds, shape (n,)."""
        if self.times_s is not None:
            return self.times_s
        assert self.interval_s is not None  # noqa: S101  one of the two is set, see __post_init__
        return self.start_s + np.float64(self.interval_s) * np.arange(self.count, dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Sweep:
    """Gain, and phase where it was taken, over frequency.

    Parameters
    ----------
    frequencies_hz : numpy.ndarray
        Shape (n,), above 0, strictly increasing, at least 2.
    gains_db : numpy.ndarray
        Shape (n,), finite.
    phases_deg : numpy.ndarray or None
        Shape (n,), wrapped or not.
    notes : tuple of str
        What was assumed while reading.
    """

    frequencies_hz: Floats
    gains_db: Floats
    phases_deg: Floats | None = None
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        frequencies = finite_series(self.frequencies_hz, "frequencies", at_least=2)
        gains = finite_series(self.gains_db, "gains", at_least=2)
        if frequencies[0] <= 0 or not (np.diff(frequencies) > 0).all():
            raise SignalError("The frequencies are not above 0 and increasing.", where="frequencies")
        sizes = {frequencies.size, gains.size}
        if self.phases_deg is not None:
            sizes.add(finite_series(self.phases_deg, "phases").size)
        if len(sizes) > 1:
            raise SignalError(
                "Frequencies, gains and phases differ in number.", given=str(sorted(sizes)), where="sweep"
            )


@dataclass(frozen=True, slots=True, eq=False)
class AudioCapture:
    """Sampled audio relative to full scale.

    Parameters
    ----------
    rate_hz : int
        Samples a second.
    samples : numpy.ndarray
        Shape (channels, frames), finite; 1.0 is full scale.
    bits : int
        Bits of one stored sample.
    is_float : bool
        Whether the samples were stored as floating point.
    notes : tuple of str
        What was found odd while reading.
    """

    rate_hz: int
    samples: Floats
    bits: int
    is_float: bool = False
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        positive(self.rate_hz, "sample rate")
        if self.samples.ndim != 2 or 0 in self.samples.shape:
            raise SignalError(
                "Audio has channels with frames.", given=str(self.samples.shape), where="samples"
            )
        if not np.isfinite(self.samples).all():
            channel, frame = (int(place) for place in np.argwhere(~np.isfinite(self.samples))[0])
            raise SignalError(
                f"Frame {frame + 1} of channel {channel + 1} is not a finite number.",
                where=f"frame {frame + 1}",
            )

        if float(np.abs(self.samples).max()) > LOUDEST:
            raise SignalError(f"A sample is beyond {LOUDEST:g} times full scale.", where="samples")

    @property
    def largest_code(self) -> float:
        """Level of the largest positive code; a sample there may have been clipped."""
        return 1.0 if self.is_float else 1 - 2.0 ** (1 - self.bits)

    def channel(self, index: int) -> Floats:
        """Return one channel.

        Parameters
        ----------
        index : int
            Counted from 0.

        Returns
        -------
        numpy.ndarray
            Shape (frames,).

        Raises
        ------
        SignalError
            When there is no such channel.
        """
        if not 0 <= index < len(self.samples):
            raise SignalError(
                f"There is no channel {index}.",
                given=str(index),
                allowed=f"0 to {len(self.samples) - 1}",
                where="channel",
            )
        row: Floats = self.samples[index]
        return row
