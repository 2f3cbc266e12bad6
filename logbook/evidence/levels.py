"""The file of levels beside a capture: its samples, and the extremes of ever longer blocks of them.

A view reads only the pieces it needs, so that it costs about the same whatever the length of the capture.
The file: a line that names the format, the length of the head, the head as JSON, then pieces of numbers,
their bytes sorted by significance and compressed. It may be made again from the original at any time.
"""

from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from logbook.common.errors import InvalidInputError
from logbook.core.signals.decimation import Level, Pyramid, min_max_between, min_max_levels, min_max_view
from logbook.evidence.choices import Drawn
from logbook.evidence.traces import Floats, Traces

FORMAT = b"logbook levels 1\n"
SUFFIXES: Mapping[str, str] = MappingProxyType(
    {Drawn.SAMPLES: "levels", Drawn.LEVEL: "level.levels", Drawn.SPECTRUM: "spectrum.levels"}
)
PIECE = 16 * 1024
MOST_BUCKETS = 2_000
# Drawn to a few thousand pixels; the numbers of an analysis come from the original.
SAMPLE, POSITION = "<f4", "<f8"
_LARGEST = float(np.finfo(np.float32).max)


@dataclass(frozen=True)
class View:
    """A range of one trace as it is drawn, in at most so many pairs of lowest and highest.

    Pair ``i`` holds the samples from ``x[i]`` up to ``x[i + 1]``, the last one those up to ``x_end``;
    ``first`` and ``last`` are the ends of the whole capture.
    """

    channel: int
    name: str
    unit: str
    x_name: str
    x_unit: str
    x: list[float]
    x_end: float
    low: list[float]
    high: list[float]
    samples_each: float
    samples: int
    first: float
    last: float


def packed(traces: Traces) -> bytes:
    """Return the file of levels."""
    pieces: list[bytes] = []
    rows = [
        {"name": row.name, "unit": row.unit} | _stored_row(row.samples, SAMPLE, pieces) for row in traces.rows
    ]
    head = {
        "x_name": traces.x_name,
        "x_unit": traces.x_unit,
        "says": traces.says,
        "start": traces.start,
        "step": traces.step,
        "count": int(traces.rows[0].samples.size),
        "x": None if traces.x is None else _stored_row(traces.x, POSITION, pieces),
        "rows": rows,
        "sizes": [len(piece) for piece in pieces],
    }
    written = json.dumps(head).encode()
    return b"".join([FORMAT, struct.pack("<I", len(written)), written, *pieces])


def _stored_row(samples: Floats, kind: str, pieces: list[bytes]) -> dict[str, Any]:
    values = np.clip(samples, -_LARGEST, _LARGEST).astype(kind) if kind == SAMPLE else samples
    return {
        "samples": _put(values, pieces),
        "levels": [
            {"block": block, "low": _put(low, pieces), "high": _put(high, pieces)}
            for block, low, high in min_max_levels(values).levels
        ],
    }


def _put(values: NDArray[Any], pieces: list[bytes]) -> dict[str, Any]:
    """Append the pieces of one array and return where it is."""
    first = len(pieces)
    for start in range(0, values.size, PIECE):
        part = np.ascontiguousarray(values[start : start + PIECE])
        by_significance = part.view(np.uint8).reshape(part.size, part.itemsize).T
        pieces.append(zlib.compress(by_significance.tobytes(), 1))
    return {"first": first, "size": int(values.size), "kind": values.dtype.str}


class Stored:
    """An array of the file, of which a slice reads only the pieces it touches."""

    def __init__(self, stream: IO[bytes], places: NDArray[np.int64], entry: dict[str, Any]) -> None:
        self._stream, self._places, self._entry = stream, places, entry
        self.size: int = entry["size"]

    def __getitem__(self, wanted: slice) -> NDArray[Any]:
        """Return a slice without step."""
        start, stop, _ = wanted.indices(self.size)
        if stop <= start:
            return np.empty(0, dtype=self._entry["kind"])
        numbers = range(start // PIECE, (stop - 1) // PIECE + 1)
        whole = np.concatenate([self._piece(number) for number in numbers])
        return whole[start - numbers[0] * PIECE : stop - numbers[0] * PIECE]

    def _piece(self, number: int) -> NDArray[Any]:
        place = self._entry["first"] + number
        begin, end = int(self._places[place]), int(self._places[place + 1])
        self._stream.seek(begin)
        kind = np.dtype(self._entry["kind"])
        plain = np.frombuffer(zlib.decompress(self._stream.read(end - begin)), dtype=np.uint8)
        values: NDArray[Any] = np.ascontiguousarray(plain.reshape(kind.itemsize, -1).T).view(kind)
        return values.reshape(-1)


def view_in(
    path: Path,
    *,
    channel: int,
    start: float | None,
    stop: float | None,
    buckets: int,
    is_log: bool = False,
) -> View:
    """Return the range of x from ``start`` to ``stop`` of one trace, counted from 0, in ``buckets``.

    ``is_log`` spreads the buckets evenly over the logarithm of x, and begins at the first x above 0.

    Raises
    ------
    InvalidInputError
        A logarithmic view was asked for where no x lies above 0.
    """
    with path.open("rb") as stream:
        head, places = _opened(stream)
        axis = _Axis(head, stream, places)
        row = head["rows"][channel]
        first, last = _stretch(axis, start, stop, is_log=is_log)
        samples = Stored(stream, places, row["samples"])
        pyramid = Pyramid(axis.count, _levels(row, stream, places))
        if is_log:
            spread = _log_edges(axis, first, last, buckets)
            found = min_max_between(pyramid, spread, lambda low, high: samples[low:high])
        else:
            found = min_max_view(pyramid, first, last, buckets, lambda low, high: samples[low:high])
        edges = np.asarray(found.edges)
        return View(
            channel=channel,
            name=row["name"],
            unit=row["unit"],
            x_name=head["x_name"],
            x_unit=head["x_unit"],
            x=[axis.at(int(edge)) for edge in edges[:-1]],
            x_end=axis.at(int(edges[-1]) - 1),
            low=np.asarray(found.lows, dtype=np.float64).tolist(),
            high=np.asarray(found.highs, dtype=np.float64).tolist(),
            samples_each=float(edges[-1] - edges[0]) / (len(edges) - 1),
            samples=axis.count,
            first=axis.at(0),
            last=axis.at(axis.count - 1),
        )


def _stretch(axis: _Axis, start: float | None, stop: float | None, *, is_log: bool) -> tuple[int, int]:
    """Return the first sample of a range and the one after its last; at least two, for a line to draw."""
    first = axis.index_of(start) if start is not None else 0
    last = axis.index_of(stop) + 1 if stop is not None else axis.count
    if is_log:
        first = max(first, _above_zero(axis))
    first = min(first, axis.count - 2)
    return first, max(last, first + 2)


def _above_zero(axis: _Axis) -> int:
    """Return the first sample with an x above 0."""
    first = axis.index_of(0.0)
    while first < axis.count - 1 and axis.at(first) <= 0:
        first += 1
    if first > axis.count - 2:
        message = "a logarithmic axis shows what lies above 0, and the capture ends before"
        raise InvalidInputError.of("axis", message, given="log", allowed="linear")
    return first


def _log_edges(axis: _Axis, first: int, last: int, buckets: int) -> NDArray[np.int64]:
    """Return the samples from ``first`` to before ``last`` at which buckets even in log x begin and end."""
    marks = np.geomspace(axis.at(first), axis.at(last - 1), buckets + 1)[1:-1]
    inner = np.fromiter((axis.index_of(float(mark)) + 1 for mark in marks), np.int64, marks.size)
    return np.unique(np.r_[first, np.clip(inner, first, last), last])


def says_in(path: Path) -> str:
    """Return how the rows of a file of levels were made."""
    with path.open("rb") as stream:
        return str(_opened(stream)[0].get("says", ""))


def names_in(path: Path) -> list[str]:
    """Return the name of each trace of a file of levels."""
    with path.open("rb") as stream:
        return [str(row["name"]) for row in _opened(stream)[0]["rows"]]


def _opened(stream: IO[bytes]) -> tuple[dict[str, Any], NDArray[np.int64]]:
    if stream.readline(len(FORMAT)) != FORMAT:
        message = "this is no file of levels of this version"
        raise ValueError(message)
    (length,) = struct.unpack("<I", stream.read(4))
    head: dict[str, Any] = json.loads(stream.read(length))
    ends = np.cumsum(np.array(head["sizes"], dtype=np.int64))
    return head, np.concatenate([[0], ends]) + stream.tell()


def _levels(row: dict[str, Any], stream: IO[bytes], places: NDArray[np.int64]) -> tuple[Level, ...]:
    return tuple(
        Level(level["block"], Stored(stream, places, level["low"]), Stored(stream, places, level["high"]))
        for level in row["levels"]
    )


class _Axis:
    """From a sample to its x and back."""

    def __init__(self, head: dict[str, Any], stream: IO[bytes], places: NDArray[np.int64]) -> None:
        self.count: int = head["count"]
        self._start, self._step = head["start"], head["step"]
        self._x = Stored(stream, places, head["x"]["samples"]) if head["x"] else None
        self._pieces: dict[int, NDArray[Any]] = {}

    def at(self, index: int) -> float:
        """Return the x of a sample."""
        if self._x is None:
            return float(self._start + self._step * index)
        number = index // PIECE
        if number not in self._pieces:
            self._pieces[number] = self._x[number * PIECE : (number + 1) * PIECE]
        return float(self._pieces[number][index - number * PIECE])

    def index_of(self, x: float) -> int:
        """Return the last sample at or before x, by halving; the first one when x lies before it."""
        if self._x is None:
            return int(np.clip(np.floor((x - self._start) / self._step + 1e-9), 0, self.count - 1))
        low, high = 0, self.count - 1
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if self.at(middle) <= x else (low, middle - 1)
        return low
