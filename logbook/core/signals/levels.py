"""Levels in decibels: sums, means and references. Levels are averaged as powers."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, decibels, finite_series, positive


def dbfs(rms: float) -> float:
    """Level of an rms value relative to a full-scale sine.

    Parameters
    ----------
    rms : float
        0 or more, relative to full scale 1.0.

    Returns
    -------
    float
        dBFS: 0 for a full-scale sine, +3.01 for a full-scale square wave, minus infinity for silence.

    Raises
    ------
    SignalError
        When the value is negative or no number.

    References
    ----------
    AES17-2020 (rms levels referred to a full-scale sine; from memory).

    Examples
    --------
    >>> round(dbfs(1.0), 4)
    3.0103
    """
    if not (math.isfinite(rms) and rms >= 0):
        raise SignalError("An rms value is 0 or more.", given=str(rms), where="rms")
    return decibels(2 * rms * rms)


def dbv(level_dbfs: float, full_scale_vrms: float) -> float:
    """Level in dBV of a level in dBFS.

    Parameters
    ----------
    level_dbfs : float
        Relative to a full-scale sine.
    full_scale_vrms : float
        Rms voltage of the sine that just fills the range, above 0.

    Returns
    -------
    float
        dB relative to 1 V rms.

    Raises
    ------
    SignalError
        When the full scale is not above 0.
    """
    return level_dbfs + 20 * math.log10(positive(full_scale_vrms, "full scale"))


def levels_over_time(samples: Any, block: int) -> tuple[Floats, Floats]:
    """Rms and largest size of each block of a record.

    Parameters
    ----------
    samples : array_like
        Shape (n,), finite, any unit.
    block : int
        Samples of a block, at least 1; the last one may be shorter.

    Returns
    -------
    tuple of numpy.ndarray
        Rms and peak, each of shape (blocks,), in the unit of the samples.

    Raises
    ------
    SignalError
        When there are no samples, or the block is below 1.

    Examples
    --------
    >>> [level.tolist() for level in levels_over_time([3.0, -3.0, 0.0, 4.0, 1.0], 2)]
    [[3.0, 2.8284271247461903, 1.0], [3.0, 4.0, 1.0]]
    """
    series = finite_series(samples, "samples")
    if block < 1:
        raise SignalError("A block has samples.", given=str(block), allowed="at least 1", where="block")
    starts = np.arange(0, series.size, block)
    counts = np.diff(np.r_[starts, series.size])
    rms: Floats = np.sqrt(np.add.reduceat(series * series, starts) / counts)
    peaks: Floats = np.maximum.reduceat(np.abs(series), starts)
    return rms, peaks


def level_sum(levels_db: Any) -> float:
    """Sum of uncorrelated levels: their powers add.

    Parameters
    ----------
    levels_db : array_like
        Shape (n,), dB.

    Returns
    -------
    float
        dB.

    Raises
    ------
    SignalError
        When there is no level or one is not finite.
    """
    levels = finite_series(levels_db, "levels")
    top = float(levels.max())
    return top + 10 * math.log10(float(np.sum(10 ** ((levels - top) / 10))))


def level_mean(levels_db: Any, weights: Any = None) -> float:
    """Mean of levels as the level of their mean power.

    Parameters
    ----------
    levels_db : array_like
        Shape (n,), dB.
    weights : array_like, optional
        Shape (n,), 0 or more, such as durations.

    Returns
    -------
    float
        dB.

    Raises
    ------
    SignalError
        When the arrays do not fit or the weights are all 0.

    References
    ----------
    ISO 1996-1 (equivalent level).
    """
    levels = finite_series(levels_db, "levels")
    shares = np.ones(levels.size) if weights is None else finite_series(weights, "weights")
    if shares.size != levels.size or (shares < 0).any() or not shares.sum() > 0:
        raise SignalError("Weights are 0 or more, one a level.", where="weights")
    top = float(levels.max())
    return top + decibels(float(np.average(10 ** ((levels - top) / 10), weights=shares)))


def coherent_sum(levels_db: Any) -> float:
    """Sum of in-phase voltages of one frequency.

    Parameters
    ----------
    levels_db : array_like
        Shape (n,), dB.

    Returns
    -------
    float
        dB; +6.02 for two equal ones.

    Raises
    ------
    SignalError
        When there is no level or one is not finite.
    """
    levels = finite_series(levels_db, "levels")
    top = float(levels.max())
    return top + 20 * math.log10(float(np.sum(10 ** ((levels - top) / 20))))
