"""Mean and rms of a wave, over even and uneven steps (IEEE names: average and root-mean-square)."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, finite_series


class MeanRms(NamedTuple):
    """Mean and root mean square, in the unit of the samples."""

    mean: float
    rms: float


def mean_and_rms(samples: Any, times_s: Any = None) -> MeanRms:
    """Mean and rms of a wave.

    Parameters
    ----------
    samples : array_like
        Shape (n,), any unit, finite.
    times_s : array_like, optional
        Shape (n,), strictly increasing; left out for even steps.

    Returns
    -------
    MeanRms
        In the unit of the samples.

    Raises
    ------
    SignalError
        When the arrays do not fit or hold no finite numbers.

    Notes
    -----
    Even steps: plain mean and rms of the samples. Uneven steps: integrals over time of the piecewise
    linear wave through the samples; the plain mean would weigh dense stretches more.

    Examples
    --------
    >>> found = mean_and_rms([0, 2, 2], [0, 1, 3])
    >>> round(found.mean, 6), round(found.rms, 6)
    (1.666667, 1.763834)
    """
    values = finite_series(samples, "samples")
    scale = float(np.abs(values).max()) or 1.0
    if times_s is None:
        scaled = values / scale
        return MeanRms(float(values.mean()), scale * float(np.sqrt(np.dot(scaled, scaled) / scaled.size)))
    times = finite_series(times_s, "times", at_least=2)
    if times.size != values.size or not (np.diff(times) > 0).all():
        raise SignalError("The times do not increase from sample to sample.", where="times")
    return _integrated(values / scale, times, scale)


def _integrated(values: Floats, times: Floats, scale: float) -> MeanRms:
    steps = np.diff(times) / (times[-1] - times[0])
    left, right = values[:-1], values[1:]
    mean = float(np.dot(steps, left + right) / 2)
    square = float(np.dot(steps, left * left + left * right + right * right) / 3)
    return MeanRms(scale * mean, scale * square**0.5)
