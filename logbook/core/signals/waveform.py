"""The numbers of one trace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats
from logbook.core.signals.captures import Waveform
from logbook.core.signals.clipping import may_be_clipped, samples_in_runs
from logbook.core.signals.integrals import mean_and_rms
from logbook.core.signals.numbers import SignalNumber
from logbook.core.signals.states import StateLevels, States, states
from logbook.core.signals.transitions import transitions

# Periods that spread by more than this share of their mean are no frequency.
STEADY_WITHIN = 0.1
# Hysteresis of the crossings that count periods, percent of the amplitude.
PERIOD_PERCENTS = (30.0, 70.0)
_STATE = "by the histogram of the samples, 256 bins (IEEE Std 181-2011)"
_PERIODS = "over whole periods between rising crossings of 50 %, hysteresis 30 to 70 %"
DEFINITIONS: Mapping[str, str] = MappingProxyType(
    {
        "mean": "time average over the whole record",
        "rms": "root mean square over the whole record, the mean included",
        "ac_rms": "root mean square over the whole record about its mean",
        "minimum": "lowest sample",
        "maximum": "highest sample",
        "peak_to_peak": "highest minus lowest sample; noise widens it",
        "low_level": f"low state {_STATE}",
        "high_level": f"high state {_STATE}",
        "amplitude": f"high minus low state, each {_STATE}",
        "frequency": f"periods a second {_PERIODS}",
        "duty": f"share of time above 50 % of the amplitude {_PERIODS}",
        "rise_time": "mean of the rising 10 to 90 % transition durations (IEEE Std 181-2011)",
        "fall_time": "mean of the falling 90 to 10 % transition durations (IEEE Std 181-2011)",
        "duration": "first to last sample",
        "overshoot": "highest sample above the high state, as a share of the amplitude",
        "undershoot": "lowest sample below the low state, as a share of the amplitude",
        "crest_factor": "largest absolute value over the rms",
    }
)
# What is in the unit of the trace, whatever that is.
LEVELS = (
    *("mean", "rms", "ac_rms", "minimum", "maximum", "peak_to_peak"),
    *("low_level", "high_level", "amplitude"),
)


@dataclass(frozen=True, slots=True)
class WaveformNumbers:
    """What a trace says. Levels are in `unit`; None where the trace does not carry the number.

    Parameters
    ----------
    unit : str
        Unit of mean, rms, ac_rms, minimum, maximum, peak_to_peak, low_level, high_level, amplitude.
    sample_count : int
        Samples used.
    duration_s : float
        First to last sample.
    mean, rms, ac_rms : float
        Over the whole record; ac_rms without the mean.
    minimum, maximum, peak_to_peak : float
        Extremes of the samples.
    low_level, high_level, amplitude : float or None
        States by the histogram.
    frequency_hz, duty_percent : float or None
        Over the whole periods between the first and the last rising crossing of 50 %.
    rise_time_s, fall_time_s : float or None
        Mean of the 10 to 90 % transition durations.
    overshoot_percent, undershoot_percent : float or None
        Extremes beyond the states, in percent of the amplitude.
    crest_factor : float or None
        Largest absolute value over rms.
    clipped_samples : int
        Samples at the ends of a stated range, in runs of three or more.
    is_clipped : bool
        Whether samples stand at the ends of the stated range, or, without one, the wave looks cut off.
    notes : tuple of str
        How the numbers were found, and why some are missing.
    """

    unit: str
    sample_count: int
    duration_s: float
    mean: float
    rms: float
    ac_rms: float
    minimum: float
    maximum: float
    peak_to_peak: float
    low_level: float | None
    high_level: float | None
    amplitude: float | None
    frequency_hz: float | None
    duty_percent: float | None
    rise_time_s: float | None
    fall_time_s: float | None
    overshoot_percent: float | None
    undershoot_percent: float | None
    crest_factor: float | None
    clipped_samples: int
    is_clipped: bool
    notes: tuple[str, ...] = ()

    def numbers(self) -> tuple[SignalNumber, ...]:
        """The numbers one by one, each with its unit and how it is found."""
        units = {"duration": "s", "rise_time": "s", "fall_time": "s", "frequency": "Hz", "crest_factor": ""}
        endings = {"s": "_s", "Hz": "_hz", "%": "_percent", "": ""}
        found = []
        for name, definition in DEFINITIONS.items():
            unit = self.unit if name in LEVELS else units.get(name, "%")
            field = name if name in LEVELS else name + endings[unit]
            found.append(SignalNumber(name, getattr(self, field), unit, definition=definition))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class _Timing:
    frequency_hz: float | None = None
    duty_percent: float | None = None
    rise_time_s: float | None = None
    fall_time_s: float | None = None
    notes: tuple[str, ...] = ()


def waveform_numbers(
    waveform: Waveform, channel: int = 0, full_scale: tuple[float, float] | None = None
) -> WaveformNumbers:
    """Take the numbers of one trace.

    Parameters
    ----------
    waveform : Waveform
        Even or uneven steps; uneven ones are used as they are, nothing is resampled.
    channel : int
        Counted from 0.
    full_scale : tuple of float, optional
        Lower and upper end of the range the trace was taken in, in its unit; samples there are clipped.

    Returns
    -------
    WaveformNumbers
        Numbers and notes.

    Raises
    ------
    SignalError
        When there is no such channel or the range is upside down.

    Notes
    -----
    Mean and rms of uneven steps are integrals of the piecewise linear wave. The frequency needs one whole
    period, and periods within 10 % of each other; it counts crossings of 50 % with a hysteresis from 30 to
    70 %. Noise widens peak to peak and overshoot. A few samples far from all others (a glitch) are left out
    of levels, edges and frequency and said in a note; extremes, mean and rms keep them.

    References
    ----------
    IEEE Std 181-2011 (state levels, reference levels, transition duration, overshoot).
    """
    if not 0 <= channel < len(waveform.channels):
        raise SignalError(
            f"There is no channel {channel}.",
            given=str(channel),
            allowed=f"0 to {len(waveform.channels) - 1}",
            where="channel",
        )
    trace = waveform.channels[channel]
    samples, times = trace.samples, waveform.times
    found = states(samples)
    levels = found.levels
    timing = _timing(_without_outliers(samples, times, found), times, levels)
    mean, rms = mean_and_rms(samples, waveform.times_s)
    ac_rms = mean_and_rms(samples - mean, waveform.times_s).rms
    low, high = float(samples.min()), float(samples.max())
    amplitude = None if levels is None else levels.high - levels.low
    clipped_samples, is_clipped, clip_notes = _clipping(samples, full_scale)
    return WaveformNumbers(
        unit=trace.unit,
        sample_count=waveform.count,
        duration_s=float(times[-1] - times[0]),
        mean=mean,
        rms=rms,
        ac_rms=ac_rms,
        minimum=low,
        maximum=high,
        peak_to_peak=high - low,
        low_level=levels.low if levels else None,
        high_level=levels.high if levels else None,
        amplitude=amplitude,
        frequency_hz=timing.frequency_hz,
        duty_percent=timing.duty_percent,
        rise_time_s=timing.rise_time_s,
        fall_time_s=timing.fall_time_s,
        overshoot_percent=100 * (high - levels.high) / amplitude if levels and amplitude else None,
        undershoot_percent=100 * (levels.low - low) / amplitude if levels and amplitude else None,
        crest_factor=max(abs(low), abs(high)) / rms if rms > 0 else None,
        clipped_samples=clipped_samples,
        is_clipped=is_clipped,
        notes=(
            *waveform.notes,
            *_mean_notes(waveform),
            *timing.notes,
            *_outlier_notes(samples, found, trace.unit),
            *clip_notes,
        ),
    )


def _mean_notes(waveform: Waveform) -> tuple[str, ...]:
    if waveform.times_s is None:
        return ()
    return ("Steps are uneven: mean and rms are integrals of the piecewise linear wave.",)


def _without_outliers(samples: Floats, times: Floats, found: States) -> Floats:
    """Bridge the outliers by straight lines, so that they count as no edges."""
    if found.aside is None:
        return samples
    kept = ~found.aside
    bridged: Floats = np.where(kept, samples, np.interp(times, times[kept], samples[kept]))
    return bridged


def _outlier_notes(samples: Floats, found: States, unit: str) -> tuple[str, ...]:
    if found.aside is None or found.levels is None:
        return ()
    above, below = (
        samples[found.aside & (samples > found.levels.high)],
        samples[found.aside & (samples < found.levels.low)],
    )
    said = (
        (above.size, float(above.max(initial=found.levels.high)) - found.levels.high, "above the high"),
        (below.size, found.levels.low - float(below.min(initial=found.levels.low)), "below the low"),
    )
    return tuple(
        f"{count} {'sample lies' if count == 1 else 'samples lie up to'} {by:.3g} {unit}".rstrip()
        + f" {where} level: left out of the levels, edges and frequency."
        for count, by, where in said
        if count
    )


def _timing(samples: Floats, times: Floats, levels: StateLevels | None) -> _Timing:
    if levels is None:
        return _Timing(notes=("The trace shows one level only: no edges, no frequency.",))
    rising, falling = transitions(samples, times, levels)
    frequency_hz, duty_percent, notes = _period(samples, times, levels)
    return _Timing(
        frequency_hz,
        duty_percent,
        float(rising.durations_s.mean()) if rising.durations_s.size else None,
        float(falling.durations_s.mean()) if falling.durations_s.size else None,
        notes,
    )


def _period(
    samples: Floats, times: Floats, levels: StateLevels
) -> tuple[float | None, float | None, tuple[str, ...]]:
    rising, falling = transitions(samples, times, levels, PERIOD_PERCENTS)
    ups, downs = rising.middle_s, falling.middle_s
    if ups.size < 2:
        return None, None, ("The trace holds no whole period: no frequency.",)
    periods = np.diff(ups)
    mean_s = float(ups[-1] - ups[0]) / periods.size
    if float(periods.std()) > STEADY_WITHIN * mean_s:
        return None, None, ("The periods differ by more than 10 %: no frequency.",)
    inside = downs[(downs > ups[0]) & (downs < ups[-1])]
    duty = (
        100 * float((inside - ups[:-1]).sum()) / (mean_s * periods.size)
        if inside.size == periods.size
        else None
    )
    return 1 / mean_s, duty, ()


def _clipping(samples: Floats, full_scale: tuple[float, float] | None) -> tuple[int, bool, tuple[str, ...]]:
    if full_scale is None:
        looks = may_be_clipped(samples)
        note = "The trace stops flat at its extreme: clipped, or a straight edge into a settled level."
        return 0, looks, (note,) if looks else ()
    low, high = full_scale
    if not low < high:
        raise SignalError("The range is upside down.", given=f"{low} to {high}", where="full scale")
    count = samples_in_runs(samples >= high) + samples_in_runs(samples <= low)
    return count, count > 0, (f"{count} samples are clipped at the ends of the range.",) if count else ()
