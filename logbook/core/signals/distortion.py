"""Distortion and noise figures out of amplitudes and levels."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import decibels, finite_series


class Distortion(NamedTuple):
    """Total harmonic distortion: F relates to the fundamental, R to the total rms."""

    thd_f_percent: float
    thd_r_percent: float
    thd_f_db: float
    thd_r_db: float


def distortion(amplitudes: Any) -> Distortion:
    """Distortion of a fundamental and its harmonics.

    Parameters
    ----------
    amplitudes : array_like
        Shape (n,), fundamental first, any unit, 0 or more.

    Returns
    -------
    Distortion
        Percent and dB.

    Raises
    ------
    SignalError
        When there is no fundamental or an amplitude is negative.

    References
    ----------
    IEC 60268-3 (THD of harmonics over total or fundamental; from memory).

    Examples
    --------
    >>> round(distortion([1, 0.01, 0.005]).thd_f_percent, 6)
    1.118034
    """
    sizes = finite_series(amplitudes, "amplitudes")
    if (sizes < 0).any() or not sizes[0] > 0:
        raise SignalError("Amplitudes are 0 or more, the fundamental above 0.", where="amplitudes")
    harmonics = float(np.sum((sizes[1:] / sizes[0]) ** 2))
    over_total = harmonics / (1 + harmonics)
    return Distortion(
        100 * math.sqrt(harmonics), 100 * math.sqrt(over_total), decibels(harmonics), decibels(over_total)
    )


def effective_bits(sinad_db: float) -> float:
    """Effective number of bits of a signal to noise and distortion ratio.

    Parameters
    ----------
    sinad_db : float
        dB.

    Returns
    -------
    float
        Bits, with unrounded constants.

    References
    ----------
    IEEE Std 1241: (SINAD - 10 log10 1.5) / (20 log10 2).

    Examples
    --------
    >>> round(effective_bits(92.0), 6)
    14.988388
    """
    return (sinad_db - 10 * math.log10(1.5)) / (20 * math.log10(2))


def sinad_from(snr_db: float, thd_db: float) -> float:
    """Signal to noise and distortion from the two apart.

    Parameters
    ----------
    snr_db : float
        Signal to noise, dB.
    thd_db : float
        Distortion over the fundamental, dB, below 0 as a rule.

    Returns
    -------
    float
        dB, the power sum.
    """
    return -10 * math.log10(10 ** (-snr_db / 10) + 10 ** (thd_db / 10))


def quantiser_snr(bits: int) -> float:
    """Signal to noise of a full-scale sine in an ideal quantiser.

    Parameters
    ----------
    bits : int
        At least 1.

    Returns
    -------
    float
        dB, 20 log10(2^bits sqrt(1.5)).

    Raises
    ------
    SignalError
        When there is no bit.

    References
    ----------
    W. R. Bennett, Bell Syst. Tech. J. 27 (1948); IEEE Std 1241.
    """
    if bits < 1:
        raise SignalError("A quantiser has bits.", given=str(bits), allowed="1 or more", where="bits")
    return 20 * (bits * math.log10(2) + math.log10(1.5) / 2)


def quantiser_floor_per_bin(bits: int, count: int, noise_bandwidth_bins: float = 1.0) -> float:
    """Noise floor of an ideal quantiser in a spectrum.

    Parameters
    ----------
    bits : int
        At least 1.
    count : int
        Length of the transform, at least 2.
    noise_bandwidth_bins : float
        Of the window.

    Returns
    -------
    float
        dBFS a bin.

    Raises
    ------
    SignalError
        When the bits, the count or the bandwidth are impossible.
    """
    if count < 2 or not noise_bandwidth_bins > 0:
        raise SignalError("A spectrum has two samples or more and a bandwidth.", where="count")
    return -quantiser_snr(bits) - 10 * math.log10(count / 2) + 10 * math.log10(noise_bandwidth_bins)


def jitter_snr(frequency_hz: float, jitter_s: float) -> float:
    """Signal to noise that sampling jitter allows.

    Parameters
    ----------
    frequency_hz : float
        Of the sine, above 0.
    jitter_s : float
        Rms, seconds, above 0.

    Returns
    -------
    float
        dB, -20 log10(2 pi f t).

    Raises
    ------
    SignalError
        When either is not above 0.
    """
    product = 2 * math.pi * frequency_hz * jitter_s
    if not product > 0:
        raise SignalError("Frequency and jitter are above 0.", where="jitter")
    return -20 * math.log10(product)


def jitter_peak_to_peak(error_rate: float) -> float:
    """Peak to peak of Gaussian jitter that is exceeded at an error rate.

    Parameters
    ----------
    error_rate : float
        Between 0 and 0.5, both left out.

    Returns
    -------
    float
        In standard deviations, twice the normal quantile.

    Raises
    ------
    SignalError
        When the rate is impossible.
    """
    from scipy.special import ndtri

    if not 0 < error_rate < 0.5:
        raise SignalError("An error rate is between 0 and 0.5.", given=str(error_rate), where="error rate")
    return float(-2 * ndtri(error_rate))


def alias_frequency(frequency_hz: float, rate_hz: float) -> float:
    """Where a frequency appears after sampling.

    Parameters
    ----------
    frequency_hz : float
        0 or more.
    rate_hz : float
        Samples a second, above 0.

    Returns
    -------
    float
        Hertz, from 0 to half the rate.

    Raises
    ------
    SignalError
        When the frequency is negative or the rate not above 0.

    Examples
    --------
    >>> alias_frequency(26_000, 48_000)
    22000
    """
    if not (rate_hz > 0 and 0 <= frequency_hz < math.inf):
        raise SignalError("The rate is above 0 and the frequency not negative.", where="frequency")
    folded = frequency_hz % rate_hz
    return min(folded, rate_hz - folded)
