"""Numbers of an audio capture: level, distortion, noise, offset."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, decibels
from logbook.core.signals.audio_definitions import HIGHEST_HARMONIC, definitions_of
from logbook.core.signals.captures import AudioCapture
from logbook.core.signals.clipping import samples_in_runs
from logbook.core.signals.distortion import effective_bits
from logbook.core.signals.levels import dbfs, dbv
from logbook.core.signals.numbers import SignalNumber
from logbook.core.signals.spectrum import LOBE_BINS, PowerSpectrum, power_spectrum
from logbook.core.signals.weighting import Weighting, weighting_gain

BANDWIDTH_HZ = (20.0, 20_000.0)
# A tone holds at least this share of the power in the band; below, the capture is noise.
TONE_SHARE = 0.5
UNITS: Mapping[str, str] = MappingProxyType(
    {
        "level_dbfs": "dBFS", "level_dbv": "dBV", "peak_dbfs": "dBFS", "band_level_dbfs": "dBFS",
        "band_level_dbv": "dBV", "dc_offset": "", "dc_offset_v": "V", "frequency_hz": "Hz",
        "fundamental_dbfs": "dBFS", "thd_f_percent": "%", "thd_r_percent": "%", "thd_f_db": "dB",
        "thdn_percent": "%", "thdn_db": "dB", "snr_db": "dB", "sinad_db": "dB", "enob_bits": "bit",
    }
)  # fmt: skip
_TONE_NUMBERS = (
    *("frequency_hz", "fundamental_dbfs", "thd_f_percent", "thd_r_percent", "thd_f_db"),
    *("thdn_percent", "thdn_db", "snr_db", "sinad_db", "enob_bits"),
)


@dataclass(frozen=True, slots=True)
class AudioNumbers:
    """What one channel says; None where it does not carry the number.

    Parameters
    ----------
    rate_hz, frames_used : int
        Sample rate and frames analysed.
    bandwidth_low_hz, bandwidth_high_hz : float
        Band of noise and distortion, as it was really used.
    weighting : str
        A, C or Z, applied to all levels but `level_dbfs`, `peak_dbfs` and THD.
    level_dbfs, level_dbv : float or None
        Rms of the whole record without its offset; dBV with the stated full scale.
    peak_dbfs : float
        Largest sample, 20 log10 of full scale.
    band_level_dbfs, band_level_dbv : float or None
        Weighted rms in the band: the noise level of a capture without a tone.
    dc_offset, dc_offset_v : float or None
        Share of full scale; volts with the stated full scale.
    frequency_hz, fundamental_dbfs : float or None
        The tone, where one stands out.
    harmonic_amplitudes : tuple of float
        Fundamental first, peak values relative to full scale, as far as the band reaches.
    thd_f_percent, thd_r_percent, thd_f_db : float or None
        Harmonics over fundamental, and over total.
    thdn_percent, thdn_db : float or None
        Everything in the band but the fundamental, over everything in the band.
    snr_db, sinad_db : float or None
        Fundamental over noise without harmonics, and over noise with harmonics.
    enob_bits : float or None
        Effective bits of the SINAD.
    clipped_samples : int
        Samples at full scale in runs of three or more.
    notes : tuple of str
        What was assumed, and why numbers are missing.
    """

    rate_hz: int
    frames_used: int
    bandwidth_low_hz: float
    bandwidth_high_hz: float
    weighting: str
    level_dbfs: float | None
    level_dbv: float | None
    peak_dbfs: float | None
    band_level_dbfs: float | None
    band_level_dbv: float | None
    dc_offset: float
    dc_offset_v: float | None
    frequency_hz: float | None
    fundamental_dbfs: float | None
    harmonic_amplitudes: tuple[float, ...]
    thd_f_percent: float | None
    thd_r_percent: float | None
    thd_f_db: float | None
    thdn_percent: float | None
    thdn_db: float | None
    snr_db: float | None
    sinad_db: float | None
    enob_bits: float | None
    clipped_samples: int
    notes: tuple[str, ...] = ()

    @property
    def is_clipped(self) -> bool:
        """Whether samples stand at full scale."""
        return self.clipped_samples > 0

    def numbers(self) -> tuple[SignalNumber, ...]:
        """The numbers one by one, each with its unit and how it is found."""
        definitions = definitions_of(self)
        return tuple(
            SignalNumber(name, getattr(self, name), unit, definition=definitions[name])
            for name, unit in UNITS.items()
        )


@dataclass(frozen=True, slots=True)
class _Tone:
    frequency_hz: float
    power: float
    weighted: float
    harmonics: tuple[float, ...]
    residual: float
    noise: float


def audio_numbers(
    capture: AudioCapture,
    channel: int = 0,
    *,
    full_scale_vrms: float | None = None,
    bandwidth_hz: tuple[float, float] = BANDWIDTH_HZ,
    weighting: Weighting = "Z",
    fundamental_hz: float | None = None,
) -> AudioNumbers:
    """Take the numbers of one channel.

    Parameters
    ----------
    capture : AudioCapture
        Any rate, at least 64 frames.
    channel : int
        Counted from 0.
    full_scale_vrms : float, optional
        Rms voltage of the sine that just fills the range; needed for dBV.
    bandwidth_hz : tuple of float
        Band of noise and distortion; ends at half the sample rate at the latest.
    weighting : {"A", "C", "Z"}
        As a filter ahead of the meter would weigh.
    fundamental_hz : float, optional
        The tone, to a few bins; by default the strongest line in the band.

    Returns
    -------
    AudioNumbers
        Numbers and notes.

    Raises
    ------
    SignalError
        When the capture is too short, or channel, band, weighting or full scale are impossible.

    Notes
    -----
    The tone need not fit the record. A tone, harmonic or spur spreads over 15 bins of rate/frames; noise
    that close to the fundamental counts as fundamental. Harmonics up to the twentieth, below the upper
    end of the band. Silence has no level: None.

    References
    ----------
    AES17-2020 (dBFS, THD+N; from memory); IEC 60268-3 (THD); IEC 61672-1:2013 (weighting);
    IEEE Std 1241 (SINAD, effective bits).
    """
    samples = capture.channel(channel)
    spectrum = power_spectrum(samples, capture.rate_hz)
    band = _band(spectrum, bandwidth_hz, capture.rate_hz)
    weights = _weights(spectrum, weighting)
    total = _sum(spectrum.powers, weights, band)
    tone, tone_notes = _tone(spectrum, weights, band, fundamental_hz)
    level = _level(float(np.std(samples)))
    band_level = _level(math.sqrt(total))

    def volts(level_dbfs: float | None) -> float | None:
        return None if level_dbfs is None or full_scale_vrms is None else dbv(level_dbfs, full_scale_vrms)

    clipped = samples_in_runs(np.abs(samples) >= capture.largest_code)
    return AudioNumbers(
        rate_hz=capture.rate_hz,
        frames_used=spectrum.used,
        bandwidth_low_hz=band.start * spectrum.bin_hz,
        bandwidth_high_hz=(band.stop - 1) * spectrum.bin_hz,
        weighting=weighting,
        level_dbfs=level,
        level_dbv=volts(level),
        peak_dbfs=_peak(samples),
        band_level_dbfs=band_level,
        band_level_dbv=volts(band_level),
        dc_offset=spectrum.mean,
        dc_offset_v=None if full_scale_vrms is None else spectrum.mean * full_scale_vrms * math.sqrt(2),
        clipped_samples=clipped,
        notes=(*capture.notes, *tone_notes, *_notes(spectrum, samples.size, clipped)),
        **_tone_numbers(tone),
    )


def _notes(spectrum: PowerSpectrum, frames: int, clipped: int) -> tuple[str, ...]:
    notes = []
    if spectrum.used < frames:
        notes.append(f"The spectrum uses the first {spectrum.used} of {frames} frames.")
    if clipped:
        notes.append(f"{clipped} samples are clipped.")
    return tuple(notes)


def _level(rms: float) -> float | None:
    return dbfs(rms) if rms > 1e-15 else None


def _peak(samples: Floats) -> float | None:
    peak = float(np.abs(samples).max())
    return 20 * math.log10(peak) if peak > 0 else None


def _band(spectrum: PowerSpectrum, bandwidth_hz: tuple[float, float], rate_hz: int) -> slice:
    low, high = bandwidth_hz
    if not 0 <= low < high:
        raise SignalError("The band is upside down.", given=f"{low:g} to {high:g} Hz", where="bandwidth")
    # The offset spreads over the first bins, which therefore carry no noise figure.
    first = max(math.ceil(low / spectrum.bin_hz - 1e-9), LOBE_BINS + 1)
    last = min(math.floor(min(high, rate_hz / 2) / spectrum.bin_hz + 1e-9), spectrum.powers.size - 1)
    if first >= last:
        raise SignalError(
            f"The capture is too short or too slow for {low:g} Hz to {high:g} Hz.",
            given=f"bins of {spectrum.bin_hz:g} Hz",
            where="bandwidth",
        )
    return slice(first, last + 1)


def _weights(spectrum: PowerSpectrum, weighting: Weighting) -> Floats | None:
    gains = weighting_gain(
        np.arange(1 if weighting == "Z" else spectrum.powers.size) * spectrum.bin_hz, weighting
    )
    return None if weighting == "Z" else gains * gains


def _sum(powers: Floats, weights: Floats | None, bins: slice) -> float:
    return float(powers[bins].sum() if weights is None else np.dot(powers[bins], weights[bins]))


def _tone(
    spectrum: PowerSpectrum, weights: Floats | None, band: slice, fundamental_hz: float | None
) -> tuple[_Tone | None, tuple[str, ...]]:
    powers = spectrum.powers
    start = fundamental_hz
    if start is None:
        start = (int(powers[band].argmax()) + band.start) * spectrum.bin_hz
    elif not band.start <= start / spectrum.bin_hz < band.stop:
        raise SignalError(f"{start:g} Hz lies outside the band.", given=f"{start:g}", where="fundamental")
    lobe = spectrum.lobe(start)
    peak = lobe.start + int(powers[lobe].argmax())
    frequency = spectrum.centroid_hz(spectrum.lobe(peak * spectrum.bin_hz))
    in_band = float(powers[band].sum())
    lobe = _within(spectrum.lobe(frequency if frequency > 0 else start), band)
    power = float(powers[lobe].sum())
    if not power > max(TONE_SHARE * in_band, 1e-30):
        return None, ("No tone stands out of the band: no distortion, no signal to noise.",)
    if frequency < 2 * (LOBE_BINS + 1) * spectrum.bin_hz:
        return None, (f"The capture holds fewer than {2 * (LOBE_BINS + 1)} periods of the tone.",)
    places = [
        _within(spectrum.lobe(order * frequency), band)
        for order in range(2, HIGHEST_HARMONIC + 1)
        if order * frequency <= (band.stop - 1) * spectrum.bin_hz
    ]
    harmonics = tuple(float(powers[bins].sum()) for bins in places)
    residual = _sum_without(powers, weights, band, [lobe])
    noise = _sum_without(powers, weights, band, [lobe, *places])
    return _Tone(frequency, power, _sum(powers, weights, lobe), harmonics, residual, noise), ()


def _sum_without(powers: Floats, weights: Floats | None, band: slice, left_out: list[slice]) -> float:
    """Sum a band but for some bins; the tone is not subtracted, or its rounding would hide quiet noise."""
    rest = powers.copy()
    for bins in left_out:
        rest[bins] = 0.0
    return _sum(rest, weights, band)


def _within(bins: slice, band: slice) -> slice:
    return slice(max(bins.start, band.start), min(bins.stop, band.stop))


def _tone_numbers(tone: _Tone | None) -> dict[str, Any]:
    if tone is None:
        return {**dict.fromkeys(_TONE_NUMBERS), "harmonic_amplitudes": ()}
    residual, noise, total = tone.residual, tone.noise, tone.residual + tone.weighted
    harmonic = sum(tone.harmonics)
    has_harmonics = bool(tone.harmonics)
    thd_r = harmonic / (tone.power + harmonic)
    sinad = decibels(tone.weighted / residual) if residual > 0 else None
    return {
        "frequency_hz": tone.frequency_hz,
        "fundamental_dbfs": decibels(2 * tone.weighted),
        "harmonic_amplitudes": tuple(math.sqrt(2 * power) for power in (tone.power, *tone.harmonics)),
        "thd_f_percent": 100 * math.sqrt(harmonic / tone.power) if has_harmonics else None,
        "thd_r_percent": 100 * math.sqrt(thd_r) if has_harmonics else None,
        "thd_f_db": decibels(harmonic / tone.power) if harmonic > 0 else None,
        "thdn_percent": 100 * math.sqrt(residual / total),
        "thdn_db": decibels(residual / total) if residual > 0 else None,
        "snr_db": decibels(tone.weighted / noise) if noise > 0 else None,
        "sinad_db": sinad,
        "enob_bits": None if sinad is None else effective_bits(sinad),
    }
