"""Sines fitted by least squares (IEEE Std 1057), also over uneven times."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, finite_series, positive
from logbook.core.signals.spectrum import WINDOW
from logbook.core.signals.windows import periodic_window

MAX_ITERATIONS = 50
MAX_GRID = 200_000


class SineFit(NamedTuple):
    """``offset + amplitude cos(2 pi frequency_hz t + phase_rad)``, and the rms of what is left."""

    offset: float
    amplitude: float
    phase_rad: float
    frequency_hz: float
    residual_rms: float


def fit_sine(times_s: Any, samples: Any, frequency_hz: float) -> SineFit:
    """Three-parameter fit: offset, amplitude and phase at a known frequency.

    Parameters
    ----------
    times_s, samples : array_like
        Shape (n,), at least 4; times in seconds, in any steps.
    frequency_hz : float
        Above 0.

    Returns
    -------
    SineFit
        In the unit of the samples.

    Raises
    ------
    SignalError
        When the arrays do not fit or are too short, or the frequency is not above 0.

    References
    ----------
    IEEE Std 1057-2017, three-parameter least-squares fit (from memory).
    """
    times, values = _checked(times_s, samples, 4)
    return _fit(times, values, positive(frequency_hz, "frequency"))[0]


def fit_sine_and_frequency(times_s: Any, samples: Any, start_hz: float) -> SineFit:
    """Four-parameter fit, started near the frequency.

    Parameters
    ----------
    times_s, samples : array_like
        Shape (n,), at least 5; times in seconds, in any steps.
    start_hz : float
        Off by less than about half a period over the record.

    Returns
    -------
    SineFit
        In the unit of the samples.

    Raises
    ------
    SignalError
        When the arrays do not fit, or the search does not settle.

    References
    ----------
    IEEE Std 1057-2017, four-parameter least-squares fit (from memory).
    """
    times, values = _checked(times_s, samples, 5)
    frequency = positive(start_hz, "frequency")
    centred = times - times.mean()
    for _ in range(MAX_ITERATIONS):
        fit, cosine, sine = _fit(centred, values, frequency)
        in_phase, quadrature = (
            fit.amplitude * math.cos(fit.phase_rad),
            -fit.amplitude * math.sin(fit.phase_rad),
        )
        slope = 2 * np.pi * centred * (quadrature * cosine - in_phase * sine)
        columns = np.column_stack((np.ones(values.size), cosine, sine, slope))
        step = float(np.linalg.lstsq(columns, values, rcond=None)[0][3])
        frequency += step
        if not 0 < frequency < math.inf:
            break
        if abs(step) <= 1e-13 * frequency:
            return _fit(times, values, frequency)[0]
    raise SignalError("The fit of a sine does not settle.", given=f"{start_hz:g} Hz", where="frequency")


def frequency_of_uneven(times_s: Any, samples: Any, low_hz: float, high_hz: float) -> SineFit:
    """Frequency and amplitude of a sine taken at uneven times.

    Parameters
    ----------
    times_s, samples : array_like
        Shape (n,), at least 8; strictly increasing times in seconds.
    low_hz, high_hz : float
        Where the frequency is looked for, 0 < low < high.

    Returns
    -------
    SineFit
        The highest peak of the Lomb–Scargle periodogram, refined by a four-parameter fit.

    Raises
    ------
    SignalError
        When the arrays or the band are impossible, or the band is too wide for the record.

    References
    ----------
    N. R. Lomb, Astrophys. Space Sci. 39 (1976); J. D. Scargle, Astrophys. J. 263 (1982).
    """
    from scipy.signal import lombscargle

    times, values = _checked(times_s, samples, 8)
    if not (0 < low_hz < high_hz < math.inf) or not (np.diff(times) > 0).all():
        raise SignalError(
            "The band or the times are upside down.", given=f"{low_hz:g} to {high_hz:g} Hz", where="band"
        )
    count = math.ceil((high_hz - low_hz) * (times[-1] - times[0]) * 5) + 2
    if count > MAX_GRID:
        raise SignalError(
            f"{count} frequencies are too many to try.", allowed=f"up to {MAX_GRID}", where="band"
        )
    grid = np.linspace(low_hz, high_hz, count)
    power = lombscargle(times, values - values.mean(), 2 * np.pi * grid)
    return fit_sine_and_frequency(times, values, float(grid[int(np.argmax(power))]))


def tone_amplitude(samples: Any, rate_hz: float, frequency_hz: float) -> float:
    """Amplitude of a tone of known frequency, through the window of the analysis.

    Parameters
    ----------
    samples : array_like
        Shape (n,), evenly spaced.
    rate_hz, frequency_hz : float
        Above 0.

    Returns
    -------
    float
        Peak value in the unit of the samples.

    Raises
    ------
    SignalError
        When the samples are not finite or a rate is not above 0.
    """
    values = finite_series(samples, "samples", at_least=8)
    turns = positive(frequency_hz, "frequency") / positive(rate_hz, "sample rate") * np.arange(values.size)
    window = periodic_window(WINDOW, values.size)
    line = np.dot(window * values, np.exp(-2j * np.pi * turns))
    return float(2 * abs(line) / window.sum())


def _checked(times_s: Any, samples: Any, at_least: int) -> tuple[Floats, Floats]:
    times, values = finite_series(times_s, "times", at_least), finite_series(samples, "samples", at_least)
    if times.size != values.size:
        raise SignalError(f"{times.size} times for {values.size} samples.", where="times")
    return times, values


def _fit(times: Floats, values: Floats, frequency: float) -> tuple[SineFit, Floats, Floats]:
    angles = 2 * np.pi * frequency * times
    cosine, sine = np.cos(angles), np.sin(angles)
    columns = np.column_stack((np.ones(values.size), cosine, sine))
    offset, in_phase, quadrature = (float(value) for value in np.linalg.lstsq(columns, values, rcond=None)[0])
    left = values - columns @ np.array([offset, in_phase, quadrature])
    amplitude, phase = math.hypot(in_phase, quadrature), math.atan2(-quadrature, in_phase)
    return SineFit(offset, amplitude, phase, frequency, float(np.sqrt(np.mean(left**2)))), cosine, sine
