"""Cosine-sum windows by name, each with its coefficients: flat-top windows of one name differ."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats

# F. J. Harris, Proc. IEEE 66 (1978); G. Heinzel, A. Rüdiger, R. Schilling, "Spectrum and spectral density
# estimation by the DFT" (2002); seven terms: H.-H. Albrecht, ICASSP 2001 (from memory).
WINDOWS: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "boxcar": (1.0,),
        "hann": (0.5, 0.5),
        "hamming": (0.54, 0.46),
        "blackman": (0.42, 0.5, 0.08),
        "blackmanharris": (0.35875, 0.48829, 0.14128, 0.01168),
        "flattop": (0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368),
        "blackmanharris7": (
            0.27105140069342,
            0.43329793923448,
            0.21812299954311,
            0.06592544638803,
            0.01081174209837,
            0.00077658482522,
            0.00001388721735,
        ),
    }
)


class WindowFigures(NamedTuple):
    """Figures of a long periodic window."""

    coherent_gain: float
    noise_bandwidth_bins: float
    scalloping_loss_db: float


@lru_cache(maxsize=2)
def periodic_window(name: str, count: int) -> Floats:
    """Samples of a periodic window.

    Parameters
    ----------
    name : str
        One of `WINDOWS`.
    count : int
        Samples, at least 1.

    Returns
    -------
    numpy.ndarray
        Shape (count,), read only.

    Raises
    ------
    SignalError
        When the name is unknown or there are no samples.

    Notes
    -----
    Built from one cosine and a polynomial, several times faster than a cosine a term.
    """
    coefficients = _coefficients(name)
    if count < 1:
        raise SignalError("A window has samples.", given=str(count), where="window")
    signed = [value * (-1) ** place for place, value in enumerate(coefficients)]
    powers = np.polynomial.chebyshev.cheb2poly(signed)
    cosine = np.cos(2 * np.pi / count * np.arange(count // 2 + 1))
    half = np.full(cosine.size, powers[-1])
    for power in powers[-2::-1]:
        half *= cosine
        half += power
    window: Floats = np.concatenate((half, half[1 : (count + 1) // 2][::-1]))
    window.flags.writeable = False
    return window


def window_figures(coefficients: str | Sequence[float]) -> WindowFigures:
    """Coherent gain, noise bandwidth and scalloping loss of a long periodic window.

    Parameters
    ----------
    coefficients : str or sequence of float
        Name in `WINDOWS`, or the terms a0, a1, … of the cosine sum, all positive.

    Returns
    -------
    WindowFigures
        Gain as a ratio, bandwidth in bins, loss in dB half a bin off.

    Raises
    ------
    SignalError
        When the name is unknown.

    References
    ----------
    Harris (1978), equations 11 to 15 (from memory).

    Examples
    --------
    >>> window_figures("hann").noise_bandwidth_bins
    1.5
    """
    terms = _coefficients(coefficients) if isinstance(coefficients, str) else tuple(coefficients)
    if not terms or not terms[0] > 0:
        raise SignalError("A window has terms, the first above 0.", where="window")
    bandwidth = 1 + sum(term * term for term in terms[1:]) / (2 * terms[0] ** 2)
    half_off = terms[0] * np.sinc(0.5) + sum(
        term / 2 * (np.sinc(0.5 - place) + np.sinc(0.5 + place))
        for place, term in enumerate(terms[1:], start=1)
    )
    return WindowFigures(terms[0], bandwidth, -20 * math.log10(float(half_off) / terms[0]))


def noise_bandwidth_bins(window: Floats) -> float:
    """Equivalent noise bandwidth of any window.

    Parameters
    ----------
    window : numpy.ndarray
        Shape (n,), samples of the window.

    Returns
    -------
    float
        Bins.
    """
    return window.size * float(np.dot(window, window)) / float(window.sum()) ** 2


def _coefficients(name: str) -> tuple[float, ...]:
    if name not in WINDOWS:
        raise SignalError(f"No window {name}.", given=name, allowed=", ".join(WINDOWS), where="window")
    return WINDOWS[name]
