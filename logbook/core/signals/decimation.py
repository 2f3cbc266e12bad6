"""Minimum and maximum at every zoom, so that a one-sample glitch is never hidden."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from logbook.core.errors import SignalError

FINEST_BLOCK = 16
BLOCK_GROWTH = 4
COARSEST_COUNT = 256
MAX_BUCKETS = 100_000

ReadSamples = Callable[[int, int], Any]


class Level(NamedTuple):
    """Extremes of each block of ``block`` samples; the last block may be shorter."""

    block: int
    lows: Any
    highs: Any


@dataclass(frozen=True, slots=True, eq=False)
class Pyramid:
    """Extremes of a trace at several block sizes, finest first.

    Parameters
    ----------
    count : int
        Samples of the trace.
    levels : tuple of Level
        May be empty for a short trace.
    """

    count: int
    levels: tuple[Level, ...]


class View(NamedTuple):
    """Extremes of each bucket: samples ``edges[i]`` up to ``edges[i + 1]``, the latter left out."""

    edges: Any
    lows: Any
    highs: Any


def min_max_levels(samples: Any) -> Pyramid:
    """Build the pyramid of a trace.

    Parameters
    ----------
    samples : array_like
        Shape (n,), any unit and number type; not a number is an error.

    Returns
    -------
    Pyramid
        Blocks of 16, 64, 256, … samples in the number type of the trace; about a sixth of its size.

    Raises
    ------
    SignalError
        When the samples are none, not in one row, or not all numbers.
    """
    trace = np.asarray(samples)
    if trace.ndim != 1 or trace.size == 0 or trace.dtype.kind not in "fiu":
        raise SignalError("A trace is one row of numbers.", given=str(trace.shape), where="samples")
    if trace.dtype.kind == "f" and not np.isfinite(trace).all():
        raise SignalError("A sample is not a finite number.", allowed="finite numbers", where="samples")
    levels: list[Level] = []
    block, lows, highs = 1, trace, trace
    while lows.size > COARSEST_COUNT:
        growth = BLOCK_GROWTH if levels else FINEST_BLOCK
        block *= growth
        starts = np.arange(0, lows.size, growth)
        lows, highs = np.minimum.reduceat(lows, starts), np.maximum.reduceat(highs, starts)
        levels.append(Level(block, lows, highs))
    return Pyramid(int(trace.size), tuple(levels))


def min_max_view(
    pyramid: Pyramid, start: int, stop: int, buckets: int, read: ReadSamples | None = None
) -> View:
    """Extremes of a stretch of the trace in at most so many buckets.

    Parameters
    ----------
    pyramid : Pyramid
        From `min_max_levels`.
    start, stop : int
        First sample and the one after the last, ``0 <= start < stop <= count``.
    buckets : int
        1 to 100,000.
    read : callable, optional
        Returns samples ``start`` to ``stop``; asked only for stretches of less than 16 samples a bucket.
        Without it the finest level stands in, with fewer buckets.

    Returns
    -------
    View
        Exactly the extremes of the samples between the edges. Edges lie on blocks, so the view may start
        and end up to one bucket outside what was asked, never inside.

    Raises
    ------
    SignalError
        When the stretch or the number of buckets is impossible.

    Examples
    --------
    >>> view = min_max_view(min_max_levels([0.0] * 999 + [5.0] + [0.0] * 9000), 0, 10000, 10)
    >>> float(view.highs.max()), len(view.highs)
    (5.0, 10)
    """
    if not 0 <= start < stop <= pyramid.count or not 1 <= buckets <= MAX_BUCKETS:
        raise SignalError(
            f"No view of {start} to {stop} in {buckets} buckets.",
            allowed=f"0 to {pyramid.count}, 1 to {MAX_BUCKETS} buckets",
            where="view",
        )
    width = (stop - start) / buckets
    fitting = [level for level in pyramid.levels if level.block <= width]
    if fitting:
        level = fitting[-1]
    elif read is not None or not pyramid.levels:
        return _from_samples(start, stop, buckets, read)
    else:
        level = pyramid.levels[0]
    first, last = start // level.block, -(-stop // level.block)
    marks = _edges(first, last, buckets)
    lows, highs = level.lows[first:last], level.highs[first:last]
    return View(
        np.minimum(np.r_[marks, last] * level.block, pyramid.count),
        np.minimum.reduceat(lows, marks - first),
        np.maximum.reduceat(highs, marks - first),
    )


def min_max_between(pyramid: Pyramid, edges: Any, read: ReadSamples) -> View:
    """Extremes of a trace between edges of any spacing, as a logarithmic axis needs them.

    Parameters
    ----------
    pyramid : Pyramid
        From `min_max_levels`.
    edges : array_like of int
        Shape (n,), at least 2, increasing, from 0 to the count of the trace: bucket ``i`` is to hold samples
        ``edges[i]`` up to ``edges[i + 1]``.
    read : callable
        Returns samples ``start`` to ``stop``.

    Returns
    -------
    View
        Exactly the extremes of the samples between its own edges. These lie on blocks, so each is up to a
        quarter of the wider bucket beside it from the one asked; a bucket left without a sample is none.

    Raises
    ------
    SignalError
        When the edges do not increase or lie outside the trace.

    Examples
    --------
    >>> trace = [0.0] * 999 + [5.0] + [0.0] * 9000
    >>> view = min_max_between(min_max_levels(trace), [1, 10, 100, 1000, 10000], lambda a, b: trace[a:b])
    >>> view.highs.tolist(), view.edges.tolist()
    ([0.0, 0.0, 5.0, 0.0], [1, 16, 128, 1024, 10000])
    """
    asked = np.asarray(edges, dtype=np.int64)
    if asked.ndim != 1 or asked.size < 2 or not (np.diff(asked) > 0).all():
        raise SignalError("The edges of a view increase.", allowed="at least two", where="view")
    if asked[0] < 0 or asked[-1] > pyramid.count:
        raise SignalError("An edge lies outside the trace.", allowed=f"0 to {pyramid.count}", where="view")
    found = _on_blocks(pyramid, asked)
    places = _places(pyramid, found)
    lows, highs = [], []
    # Neighbours taken from the same level are read at once.
    for part in np.split(np.arange(places.size), np.flatnonzero(np.diff(places)) + 1):
        level = pyramid.levels[places[part[0]] - 1] if places[part[0]] else None
        block = level.block if level else 1
        first, last = int(found[part[0]]) // block, -(-int(found[part[-1] + 1]) // block)
        starts = found[part] // block - first
        low, high = (level.lows[first:last], level.highs[first:last]) if level else [read(first, last)] * 2
        lows.append(np.minimum.reduceat(np.asarray(low), starts))
        highs.append(np.maximum.reduceat(np.asarray(high), starts))
    return View(found, np.concatenate(lows), np.concatenate(highs))


def _on_blocks(pyramid: Pyramid, edges: Any) -> Any:
    """Move each edge to the block that suits the wider of the buckets beside it."""
    widths = np.diff(edges)
    wider = np.maximum(np.r_[widths[0], widths], np.r_[widths, widths[-1]])
    blocks = np.ones(edges.size, dtype=np.int64)
    for level in pyramid.levels:
        blocks[wider >= 4 * level.block] = level.block
    moved = (edges + blocks // 2) // blocks * blocks
    moved[0] = edges[0] // blocks[0] * blocks[0]
    moved[-1] = -(-edges[-1] // blocks[-1]) * blocks[-1]
    return np.unique(np.minimum(moved, pyramid.count))


def _places(pyramid: Pyramid, edges: Any) -> Any:
    """Return the coarsest level for each bucket, counted from 1, on whose blocks both its edges lie."""
    places = np.zeros(edges.size - 1, dtype=np.int64)
    for place, level in enumerate(pyramid.levels, start=1):
        fits = (edges % level.block == 0) | (edges == pyramid.count)
        places[(edges[:-1] % level.block == 0) & fits[1:]] = place
    return places


def _edges(first: int, last: int, buckets: int) -> Any:
    count = min(buckets, last - first)
    return first + (np.arange(count) * (last - first)) // count


def _from_samples(start: int, stop: int, buckets: int, read: ReadSamples | None) -> View:
    if read is None:
        raise SignalError(
            "A short trace is drawn from its samples.", allowed="a way to read them", where="view"
        )
    samples = np.asarray(read(start, stop))
    if samples.shape != (stop - start,):
        raise SignalError(f"{samples.shape} samples came for {start} to {stop}.", where="view")
    marks = _edges(start, stop, buckets)
    return View(
        np.r_[marks, stop],
        np.minimum.reduceat(samples, marks - start),
        np.maximum.reduceat(samples, marks - start),
    )
