"""Signs that a capture was cut off at the end of a range."""

from __future__ import annotations

from typing import Any

import numpy as np

from logbook.core.signals.arrays import Floats, finite_series

SHORTEST_RUN = 3
# Steeper than this share of the steepest step right before a plateau: the wave was still moving.
STILL_MOVING = 0.25


def samples_in_runs(at_limit: Any) -> int:
    """Count samples at a limit that stand in runs of three or more.

    Parameters
    ----------
    at_limit : array_like of bool
        Shape (n,).

    Returns
    -------
    int
        Samples in such runs; a sine that just touches full scale makes none.
    """
    padded = np.concatenate(([False], np.asarray(at_limit, dtype=bool), [False]))
    edges = np.flatnonzero(padded[1:] != padded[:-1])
    lengths = edges[1::2] - edges[::2]
    return int(lengths[lengths >= SHORTEST_RUN].sum())


def may_be_clipped(samples: Any) -> bool:
    """Whether a wave stops at its extreme in full movement and stays there.

    Parameters
    ----------
    samples : array_like
        Shape (n,), any unit, finite.

    Returns
    -------
    bool
        True for a clipped wave; also for straight edges that end in a flat state without any rounding,
        which cannot be told from clipping. A wave that rounds off, or jumps in one step, is False.

    Raises
    ------
    SignalError
        When the samples are none or not finite.
    """
    values = finite_series(samples, "samples")
    return _cut_above(values) or _cut_above(-values)


def _cut_above(values: Floats) -> bool:
    if values.size < SHORTEST_RUN + 2:
        return False
    padded = np.concatenate(([False], values >= values.max(), [False]))
    edges = np.flatnonzero(padded[1:] != padded[:-1])
    starts, lengths = edges[::2], edges[1::2] - edges[::2]
    starts = starts[(lengths >= SHORTEST_RUN) & (starts >= 2)]
    if not starts.size:
        return False
    before = values[starts - 1] - values[starts - 2]
    return bool(np.median(before) >= STILL_MOVING * np.abs(np.diff(values)).max())
