"""The two state levels of a wave by its histogram (IEEE Std 181-2011, clause 5.2)."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from logbook.core.signals.arrays import Floats, finite_series
from logbook.core.signals.outliers import outliers

BINS = 256
# A state is seen where three bins together hold this many times their fair share of their half.
PROMINENCE = 3.0
# Noise around one level has its two modes side by side.
SMALLEST_SHARE = 0.2
# Outliers that move a state by less than this share of the amplitude change nothing.
MOVED_BY = 0.05


class StateLevels(NamedTuple):
    """Low and high state in the unit of the samples."""

    low: float
    high: float


class States(NamedTuple):
    """The two states, if there are two, and the samples set aside to find them (None where all count)."""

    levels: StateLevels | None
    aside: NDArray[np.bool_] | None = None


def states(samples: Any) -> States:
    """Find the low and the high state, and which samples were set aside for it.

    Parameters
    ----------
    samples : array_like
        Shape (n,), any unit, finite.

    Returns
    -------
    States
        The levels, None where the samples show one level only; and the outliers where they would have
        moved a level.

    Raises
    ------
    SignalError
        When the samples are none or not finite.

    Notes
    -----
    256 bins over the range, split in the middle; the state of each half is the median of the samples in
    its fullest bin and the two beside it. A half without a mode (triangle, ramp) takes its extreme. A few
    samples far from all others (a glitch) are set aside first where they would move a state and the rest
    shows two states by itself.

    References
    ----------
    IEEE Std 181-2011, 5.2 (histogram methods, mode; from memory).
    """
    values = finite_series(samples, "samples")
    plain, aside = _levels(values), outliers(values)
    if not aside.any():
        return States(plain)
    rest = _levels(values[~aside])
    if rest is None or (plain is not None and not _moved(plain, rest)):
        return States(plain)
    return States(rest, aside)


def _moved(plain: StateLevels, rest: StateLevels) -> bool:
    by = max(abs(plain.low - rest.low), abs(plain.high - rest.high))
    return by > MOVED_BY * (rest.high - rest.low)


def _levels(values: Floats) -> StateLevels | None:
    low, high = float(values.min()), float(values.max())
    span = high - low
    if not np.isfinite(span) or span <= 1e-12 * max(abs(low), abs(high)) or span < 1e-290:
        return None
    counts = np.histogram(values, bins=BINS, range=(low, high))[0]
    width = span / BINS
    lower = _state(values, counts[: BINS // 2], low, width, low)
    upper = _state(values, counts[BINS // 2 :][::-1], high, -width, high)
    return StateLevels(lower, upper) if upper - lower >= SMALLEST_SHARE * span else None


def _state(values: Floats, counts: Any, edge: float, width: float, extreme: float) -> float:
    """State of one half, its bins counted from the outside in; ties go to the outer bin."""
    joined = np.convolve(counts, np.ones(3), mode="same")
    place = int(np.argmax(joined))
    if joined[place] < PROMINENCE * 3 * counts.sum() / counts.size:
        return extreme
    ends = sorted((edge + (place - 1) * width, edge + (place + 2) * width))
    slack = 1e-9 * abs(width)
    inside = values[(values >= ends[0] - slack) & (values <= ends[1] + slack)]
    return float(np.median(inside)) if inside.size else extreme
