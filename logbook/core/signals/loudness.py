"""Integrated loudness by ITU-R BS.1770."""

from __future__ import annotations

import math

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats
from logbook.core.signals.captures import AudioCapture

# Analogue prototypes of the two filters printed for 48 kHz in ITU-R BS.1770-4, annex 1, so that other
# rates get the same response (common practice; from memory).
_SHELF_HZ, _SHELF_DB, _SHELF_Q = 1681.974450955533, 3.999843853973347, 0.7071752369554196
_HIGH_PASS_HZ, _HIGH_PASS_Q = 38.13547087602444, 0.5003270373238773
# Silent blocks are left out, then those this far below the rest.
ABSOLUTE_GATE_LKFS, RELATIVE_GATE_DB = -70.0, -10.0


def loudness_lkfs(capture: AudioCapture) -> float | None:
    """Integrated loudness of a capture of one to three channels.

    Parameters
    ----------
    capture : AudioCapture
        Left, right and centre weigh the same; at least 400 ms.

    Returns
    -------
    float or None
        LKFS; None where every block is below the gate.

    Raises
    ------
    SignalError
        When there are more than three channels or less than 400 ms, or the rate is below 8 kHz.

    References
    ----------
    ITU-R BS.1770-4, annex 1.
    """
    if len(capture.samples) > 3:
        raise SignalError(
            "Surround is not weighed.", given=f"{len(capture.samples)} channels", where="channels"
        )
    hop = round(capture.rate_hz / 10)
    if capture.samples.shape[1] < 4 * hop or capture.rate_hz < 8000:
        raise SignalError("Loudness takes 400 ms or more at 8 kHz or more.", where="samples")
    squares = _weighted(capture.samples, capture.rate_hz) ** 2
    tenths = (
        squares[:, : squares.shape[1] // hop * hop].reshape(len(squares), -1, hop).mean(axis=2).sum(axis=0)
    )
    blocks = np.convolve(tenths, np.full(4, 0.25), mode="valid")
    loud = blocks[blocks > _power(ABSOLUTE_GATE_LKFS)]
    if not loud.size:
        return None
    loud = loud[loud > loud.mean() * 10 ** (RELATIVE_GATE_DB / 10)]
    return -0.691 + 10 * math.log10(float(loud.mean()))


def _power(lkfs: float) -> float:
    return float(10 ** ((lkfs + 0.691) / 10))


def _weighted(samples: Floats, rate_hz: int) -> Floats:
    from scipy.signal import lfilter

    weighted = samples
    for numerator, denominator in k_weighting(rate_hz):
        weighted = lfilter(numerator, denominator, weighted, axis=1)
    return weighted


def k_weighting(rate_hz: float) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Filters of the K weighting: shelf, then high-pass.

    Parameters
    ----------
    rate_hz : float
        Samples a second, at least 8 kHz.

    Returns
    -------
    tuple of (numpy.ndarray, numpy.ndarray)
        Numerator and denominator of each, shape (3,).

    References
    ----------
    ITU-R BS.1770-4, annex 1, tables 1 and 2.
    """
    tangent = math.tan(math.pi * _SHELF_HZ / rate_hz)
    top = 10 ** (_SHELF_DB / 20)
    middle = top**0.4996667741545416
    scale = 1 + tangent / _SHELF_Q + tangent**2
    shelf = np.array(
        [
            top + middle * tangent / _SHELF_Q + tangent**2,
            2 * (tangent**2 - top),
            top - middle * tangent / _SHELF_Q + tangent**2,
        ]
    )
    return (shelf / scale, _poles(tangent, _SHELF_Q)), (
        np.array([1.0, -2.0, 1.0]),
        _poles(math.tan(math.pi * _HIGH_PASS_HZ / rate_hz), _HIGH_PASS_Q),
    )


def _poles(tangent: float, quality: float) -> Floats:
    scale = 1 + tangent / quality + tangent**2
    return np.array([1.0, 2 * (tangent**2 - 1) / scale, (1 - tangent / quality + tangent**2) / scale])
