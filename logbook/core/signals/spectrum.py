"""Power spectrum of a record, leak-free enough for tones that fit no whole number of periods.

The window has seven terms with side lobes below -180 dB, so a tone lies in the seven bins either side of
its own and nowhere else.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, finite_series, positive
from logbook.core.signals.windows import periodic_window, window_figures

LOBE_BINS = 7
SHORTEST = 64
WINDOW = "blackmanharris7"


@dataclass(frozen=True, slots=True, eq=False)
class PowerSpectrum:
    """Mean square of a record, split over frequency.

    Parameters
    ----------
    powers : numpy.ndarray
        Shape (bins,), mean square in each bin, in the square of the samples' unit; any band's sum is the
        mean square of what lies in that band.
    bin_hz : float
        Distance of bins.
    mean : float
        Mean of the record through the window, in the samples' unit.
    used : int
        Samples used: the largest number up to the record's with no prime factor above 5.
    """

    powers: Floats
    bin_hz: float
    mean: float
    used: int

    def lobe(self, frequency_hz: float) -> slice:
        """Return the bins of a tone.

        Parameters
        ----------
        frequency_hz : float
            Of the tone.

        Returns
        -------
        slice
            Cut at the ends of the spectrum.
        """
        centre = round(frequency_hz / self.bin_hz)
        return slice(max(centre - LOBE_BINS, 0), max(min(centre + LOBE_BINS + 1, self.powers.size), 0))

    def centroid_hz(self, bins: slice) -> float:
        """Return the frequency of the tone in some bins, exact for a lone tone.

        Parameters
        ----------
        bins : slice
            From `lobe`.

        Returns
        -------
        float
            Hertz; not a number where the bins are empty.
        """
        powers = self.powers[bins]
        total = float(powers.sum())
        return (
            float(np.dot(np.arange(bins.start, bins.stop), powers)) / total * self.bin_hz
            if total > 0
            else math.nan
        )


@dataclass(frozen=True, slots=True, eq=False)
class LineLevels:
    """The lines of a spectrum as tones are read from it.

    Parameters
    ----------
    rms : numpy.ndarray
        Shape (lines,), in the samples' unit; the first line is at `line_hz`.
    line_hz : float
        Distance of lines.
    used : int
        Samples used, the length of the transform.
    noise_hz : float
        Band whose noise one line shows.
    scalloping_db : float
        What a tone half way between two lines reads too low.
    """

    rms: Floats
    line_hz: float
    used: int
    noise_hz: float
    scalloping_db: float


def smooth_length(count: int) -> int:
    """Largest number up to `count` with no prime factor above 5.

    Parameters
    ----------
    count : int
        At least 1.

    Returns
    -------
    int
        A prime length would make the transform over ten times slower.

    Raises
    ------
    SignalError
        When the count is below 1.

    Examples
    --------
    >>> smooth_length(999_983)
    995328
    """
    if count < 1:
        raise SignalError("A length is at least 1.", given=str(count), where="length")
    best, fives = 1, 1
    while fives <= count:
        threes = fives
        while threes <= count:
            best = max(best, threes << ((count // threes).bit_length() - 1))
            threes *= 3
        fives *= 5
    return best


def power_spectrum(samples: Any, rate_hz: float) -> PowerSpectrum:
    """Split the mean square of a record over frequency.

    Parameters
    ----------
    samples : array_like
        Shape (n,), at least 64, evenly spaced, finite.
    rate_hz : float
        Samples a second.

    Returns
    -------
    PowerSpectrum
        One-sided.

    Raises
    ------
    SignalError
        When the samples are too few or not finite, or the rate is not above 0.

    References
    ----------
    Heinzel, Rüdiger, Schilling (2002), normalisation by the sum of the squared window.
    """
    series = finite_series(samples, "samples", at_least=SHORTEST)
    used = smooth_length(series.size)
    window = periodic_window(WINDOW, used)
    weighted = series[:used] * window
    mean = float(weighted.sum() / window.sum())
    lines = np.fft.rfft(weighted)
    powers: Floats = lines.real**2
    powers += lines.imag**2
    powers *= 2 / (used * float(np.dot(window, window)))
    powers[0] /= 2
    if used % 2 == 0:
        powers[-1] /= 2
    return PowerSpectrum(powers, positive(rate_hz, "sample rate") / used, mean, used)


def line_levels(samples: Any, rate_hz: float) -> LineLevels:
    """Level of each line of the spectrum of a record, without its mean.

    Parameters
    ----------
    samples : array_like
        Shape (n,), at least 64, evenly spaced, finite.
    rate_hz : float
        Samples a second.

    Returns
    -------
    LineLevels
        From the first line above 0 Hz to half the rate.

    Raises
    ------
    SignalError
        When the samples are too few or not finite, or the rate is not above 0.

    Notes
    -----
    A sine on a line reads its rms there; between two lines up to `scalloping_db` less, and it fills the
    lines beside it. Noise reads what lies in a band of `noise_hz`.

    References
    ----------
    Heinzel, Rüdiger, Schilling (2002), linear spectrum: normalisation by the sum of the window.

    Examples
    --------
    >>> tone = np.sqrt(2) * np.sin(2 * np.pi * 10 * np.arange(100) / 100)
    >>> found = line_levels(tone, 100)
    >>> round(float(found.rms[9]), 6), found.line_hz
    (1.0, 1.0)
    """
    series = finite_series(samples, "samples", at_least=SHORTEST)
    spectrum = power_spectrum(series - series.mean(), rate_hz)
    figures = window_figures(WINDOW)
    rms: Floats = np.sqrt(spectrum.powers[1:] * figures.noise_bandwidth_bins)
    return LineLevels(
        rms,
        spectrum.bin_hz,
        spectrum.used,
        figures.noise_bandwidth_bins * spectrum.bin_hz,
        figures.scalloping_loss_db,
    )


def tone_frequency(samples: Any, rate_hz: float) -> float:
    """Frequency of the strongest tone by two-bin interpolation under a Hann window.

    Parameters
    ----------
    samples : array_like
        Shape (n,), at least 64, evenly spaced, finite.
    rate_hz : float
        Samples a second.

    Returns
    -------
    float
        Hertz.

    Raises
    ------
    SignalError
        When the samples are too few or not finite, or hold no tone.

    References
    ----------
    Common practice: offset (2a - 1)/(a + 1), a the ratio of the larger neighbour to the peak.
    """
    series = finite_series(samples, "samples", at_least=SHORTEST)[: smooth_length(np.size(samples))]
    sizes = np.abs(np.fft.rfft((series - series.mean()) * periodic_window("hann", series.size)))
    peak = int(sizes[1:-1].argmax()) + 1
    if not sizes[peak] > 1e-12 * max(float(np.abs(series).max()), 1e-300) * series.size:
        raise SignalError("The record holds no tone.", where="samples")
    side = 1 if sizes[peak + 1] > sizes[peak - 1] else -1
    ratio = sizes[peak + side] / sizes[peak]
    return float((peak + side * (2 * ratio - 1) / (ratio + 1)) * rate_hz / series.size)
