"""Frequency weightings A, C and Z of sound level meters."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, finite_series

Weighting = Literal["A", "C", "Z"]
# Pole frequencies in hertz, IEC 61672-1:2013, annex E (from memory).
POLES_HZ = (20.598997, 107.65265, 737.86223, 12194.217)


def weighting_gain(frequencies_hz: Any, weighting: Weighting) -> Floats:
    """Gain of a weighting as a ratio, 1 at 1 kHz.

    Parameters
    ----------
    frequencies_hz : array_like
        Shape (n,), hertz, 0 or more.
    weighting : {"A", "C", "Z"}
        Z weighs nothing.

    Returns
    -------
    numpy.ndarray
        Shape (n,), ratio of amplitudes.

    Raises
    ------
    SignalError
        When the weighting is unknown or a frequency negative.

    References
    ----------
    IEC 61672-1:2013, annex E, formulas for the A and C weighting.
    """
    frequencies = finite_series(frequencies_hz, "frequencies")
    if weighting not in ("A", "C", "Z"):
        raise SignalError("No such weighting.", given=str(weighting), allowed="A, C or Z", where="weighting")
    if (frequencies < 0).any():
        raise SignalError("A frequency is 0 or more.", where="frequencies")
    if weighting == "Z":
        return np.ones(frequencies.size)
    at_reference = float(_unscaled(np.array([1000.0]), weighting)[0])
    return _unscaled(frequencies, weighting) / at_reference


def weighting_db(frequencies_hz: Any, weighting: Weighting) -> Floats:
    """Gain of a weighting in decibels, 0 at 1 kHz.

    Parameters
    ----------
    frequencies_hz : array_like
        Shape (n,), hertz, above 0.
    weighting : {"A", "C", "Z"}
        Z weighs nothing.

    Returns
    -------
    numpy.ndarray
        Shape (n,), dB.

    Raises
    ------
    SignalError
        When the weighting is unknown or a frequency is not above 0.

    Examples
    --------
    >>> weighting_db([100.0], "A").round(1).tolist()
    [-19.1]
    """
    gains = weighting_gain(frequencies_hz, weighting)
    if not (gains > 0).all():
        raise SignalError(
            "A level at 0 Hz has no decibels.", allowed="frequencies above 0", where="frequencies"
        )
    return 20 * np.log10(gains)


def _unscaled(frequencies: Floats, weighting: Weighting) -> Floats:
    squares = frequencies * frequencies
    first, second, third, fourth = (pole * pole for pole in POLES_HZ)
    gain: Floats = fourth * squares / ((squares + first) * (squares + fourth))
    if weighting == "A":
        gain = gain * squares / np.sqrt((squares + second) * (squares + third))
    return gain
