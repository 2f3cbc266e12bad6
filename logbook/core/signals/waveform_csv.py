"""Waveforms out of CSV text, in the layouts instruments write."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats
from logbook.core.signals.captures import Channel, Waveform
from logbook.core.signals.headings import Heading, headings_of, unit_in_base
from logbook.core.signals.number_table import MAX_BYTES, MAX_COLUMNS, MAX_ROWS, NumberTable, read_number_table

# Steps that differ by no more than this share are one step.
EVEN_WITHIN = 0.01
# In fewer rows, times rounded in print cannot be told from uneven ones.
ENOUGH_TO_SEE_ROUNDING = 20
COARSEST_PRINT = 10
# Names of settings are looked for in so much of a cell.
LONGEST_NAME = 80
_TIME = re.compile(r"(relative |elapsed )?(time|t|seconds?|timestamp)\b", re.I)
_INDEX = re.compile(r"(x|sample|samples|sequence|index|point|n|no\.?|#)( ?(number|no\.?|index))?", re.I)
_INTERVAL = re.compile(
    r"(sampl\w*|time|x)[ _-]*(interval|period|increment|step|delta)|increment|x_?incr?|dt|delta ?t", re.I
)
_RATE = re.compile(r"sampl\w*[ _-]*(rate|frequency|freq)\b|\bfs", re.I)
_START = re.compile(r"(start|trigger|first)[ _-]*time|start|x[ _-]*(origin|zero|start)|t0", re.I)
_VALUE = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)", re.ASCII)


@dataclass(frozen=True, slots=True)
class _Axis:
    start_s: float
    interval_s: float | None
    times_s: Floats | None = None
    notes: tuple[str, ...] = ()


def read_waveform_csv(
    data: bytes,
    *,
    interval_s: float | None = None,
    max_bytes: int = MAX_BYTES,
    max_rows: int = MAX_ROWS,
    max_columns: int = MAX_COLUMNS,
) -> Waveform:
    """Read a waveform from CSV bytes.

    Parameters
    ----------
    data : bytes
        One time column and up to `max_columns` - 1 channels, or channels alone with the sample interval,
        rate or increment in the head. Names and units in one line (``Time (s),CH1 (V)``) or in two.
    interval_s : float, optional
        Step between samples in seconds; overrides what the file says.
    max_bytes, max_rows, max_columns : int
        Caps.

    Returns
    -------
    Waveform
        Channels in base units where the unit is known; uneven times are kept as they are.

    Raises
    ------
    SignalError
        When the file cannot be read whole, has no time axis, or its times do not increase.

    Notes
    -----
    Steps within 1 %, or within the last printed digit of the times, are taken as even and said so.

    Examples
    --------
    >>> wave = read_waveform_csv(b"Time (ms),CH1 (mV)\\n0,10\\n1,20\\n2,10\\n")
    >>> wave.interval_s, wave.channels[0].unit, wave.channels[0].samples.tolist()
    (0.001, 'V', [0.01, 0.02, 0.01])
    """
    table = read_number_table(data, max_bytes=max_bytes, max_rows=max_rows, max_columns=max_columns)
    if len(table.values) < 2:
        raise SignalError(
            "The file is too short: it holds one sample.",
            given="1",
            allowed="at least 2 rows of numbers",
            where="file",
        )
    headings = headings_of(table)
    axis, axis_columns = _axis(table, headings, interval_s)
    kept = [place for place in range(len(headings)) if place not in axis_columns]
    if not kept:
        raise SignalError(
            "The file holds times and no channel.", allowed="at least one channel", where="file"
        )
    channels = tuple(
        Channel(
            headings[place].name or f"column {place + 1}",
            headings[place].unit,
            np.ascontiguousarray(table.values[:, place]) * headings[place].factor,
        )
        for place in kept
    )
    return Waveform(channels, axis.start_s, axis.interval_s, axis.times_s, axis.notes)


def _axis(
    table: NumberTable, headings: tuple[Heading, ...], interval_s: float | None
) -> tuple[_Axis, frozenset[int]]:
    first = headings[0]
    index_first = _INDEX.fullmatch(first.name) is not None and first.unit != "s"
    stated = interval_s if interval_s is not None else _stated_interval(table)
    if first.unit == "s" or _TIME.match(first.name):
        axis = _axis_of_times(table, first.factor if first.unit == "s" else 1.0)
        return (axis if interval_s is None else _Axis(axis.start_s, interval_s)), frozenset({0})
    if stated is not None and len(headings) > 1 and not first.name and _steps_by(table, stated):
        return _axis_of_times(table, 1.0), frozenset({0})
    if stated is not None:
        axis_columns = frozenset({0}) if index_first and len(headings) > 1 else frozenset[int]()
        return _Axis(_setting(table, _START, "s") or 0.0, stated), axis_columns
    if len(headings) > 1 and (not first.name or first.name.lower() == "x"):
        axis = _axis_of_times(table, first.factor)
        note = "The first column is taken as time in seconds; the file does not name it."
        return _Axis(axis.start_s, axis.interval_s, axis.times_s, (note, *axis.notes)), frozenset({0})
    raise SignalError(
        "The file has no time column and names no sample interval.",
        given=", ".join(one.name for one in headings)[:200],
        allowed="a column named time or with a unit of time first, or a sample interval in the head",
        where="head",
    )


def _axis_of_times(table: NumberTable, factor: float) -> _Axis:
    times = table.values[:, 0]
    step = (times[-1] - times[0]) / (len(times) - 1)
    if not np.isfinite(step * factor) or step * factor <= 0:
        raise SignalError(
            "The times do not increase.", given=f"{times[0]:g} to {times[-1]:g}", where="time column"
        )
    drift = float(np.abs(times - (times[0] + step * np.arange(len(times)))).max())
    printed = max(_last_place(table.first_cells[0]), _last_place(table.last_cells[0]))
    if drift <= EVEN_WITHIN * step:
        return _Axis(float(times[0] * factor), float(step * factor))
    if len(times) >= ENOUGH_TO_SEE_ROUNDING and drift <= printed <= COARSEST_PRINT * step:
        resolution, even = f"{printed * factor:.3g} s", f"{step * factor:.6g} s"
        note = f"Times are printed to {resolution}; the steps are taken as even, {even}."
        return _Axis(float(times[0] * factor), float(step * factor), None, (note,))
    backwards = np.flatnonzero(np.diff(times) <= 0)
    if backwards.size:
        line = table.first_line + int(backwards[0]) + 1
        raise SignalError(
            f"The time in line {line} does not increase.",
            given=f"{times[backwards[0] + 1]:g} after {times[backwards[0]]:g}",
            allowed="increasing times",
            where=f"line {line}",
        )
    return _Axis(
        float(times[0] * factor), None, times * factor, ("The time steps are uneven and kept as they are.",)
    )


def _steps_by(table: NumberTable, interval_s: float) -> bool:
    steps = np.diff(table.values[:, 0])
    return bool(np.abs(steps - interval_s).max() <= 2 * EVEN_WITHIN * interval_s)


def _last_place(cell: str) -> float:
    """Size of the last printed digit; 0 for whole numbers, which are counted, not rounded."""
    found = re.fullmatch(r"[+-]?\d*(\.\d*)?(?:e([+-]?\d{1,3}))?", cell, re.I | re.ASCII)
    if found is None or (found[1] is None and found[2] is None):
        return 0.0
    return 10.0 ** min(int(found[2] or 0) - max(len(found[1] or "") - 1, 0), 300)


def _stated_interval(table: NumberTable) -> float | None:
    interval = _setting(table, _INTERVAL, "s")
    if interval is not None:
        return _sensible(interval)
    rate = _setting(table, _RATE, "Hz")
    return None if rate is None else 1 / _sensible(rate)


def _sensible(value: float) -> float:
    if not 1e-18 < value < 1e18:
        raise SignalError(
            f"A sample interval or rate of {value:g} makes no sense.",
            given=f"{value:g}",
            allowed="above 0",
            where="head",
        )
    return value


def _setting(table: NumberTable, name: re.Pattern[str], unit: str) -> float | None:
    """Find a named number in the head: beside its name, after a colon, or below it."""
    for row, cells in enumerate(table.head):
        for place, cell in enumerate(cells):
            if not name.match(cell.lstrip("#% ")[:LONGEST_NAME]):
                continue
            label, _, tail = cell.partition(":") if ":" in cell else cell.partition("=")
            below = table.head[row + 1] if row + 1 < len(table.head) else ()
            candidates = [tail, *cells[place + 1 : place + 2], *below[place : place + 1]]
            for candidate in candidates:
                found = _VALUE.fullmatch(candidate.strip())
                if found:
                    after = (
                        cells[place + 2] if len(cells) > place + 2 and candidate == cells[place + 1] else ""
                    )
                    return float(found[1]) * _factor(label, found[2] or after, unit)
    return None


def _factor(label: str, written: str, unit: str) -> float:
    bracketed = re.search(r"[(\[](.*?)[)\]]", label)
    for text in (written, bracketed[1] if bracketed else ""):
        known = unit_in_base(text.strip("()[] ").replace("Sa/s", "Hz").replace("S/s", "Hz")) if text else None
        if known and known[0] == unit:
            return known[1]
    return 1.0
