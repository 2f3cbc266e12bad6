"""Frequency sweeps out of CSV text."""

from __future__ import annotations

import re
from typing import Literal

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats
from logbook.core.signals.captures import Sweep
from logbook.core.signals.headings import Heading, headings_of
from logbook.core.signals.number_table import MAX_BYTES, MAX_COLUMNS, MAX_ROWS, read_number_table

GainUnit = Literal["dB", "ratio"]
_FREQUENCY = re.compile(r"f(req)?(uency)?\b", re.I)
_PHASE = re.compile(r"phase|arg|angle", re.I)
_RATIO = re.compile(r"ratio|linear|\bV/V\b|^x$|\babs", re.I)
_DECIBEL = re.compile(r"\bdB|_dB\b|decibel", re.I)


def read_sweep_csv(
    data: bytes,
    *,
    gain_unit: GainUnit | None = None,
    max_bytes: int = MAX_BYTES,
    max_rows: int = MAX_ROWS,
    max_columns: int = MAX_COLUMNS,
) -> Sweep:
    """Read a sweep from CSV bytes: frequency, gain in dB or as a ratio, and phase where given.

    Parameters
    ----------
    data : bytes
        Frequency first, then one gain column and at most one phase column, in either order.
    gain_unit : {"dB", "ratio"}, optional
        What the gain is in, where the head does not say; overrides it.
    max_bytes, max_rows, max_columns : int
        Caps.

    Returns
    -------
    Sweep
        In rising frequency; a falling sweep is turned round.

    Raises
    ------
    SignalError
        When the file cannot be read whole, the unit of the gain is nowhere stated, a ratio is not above
        0, or the frequencies neither rise nor fall.

    Examples
    --------
    >>> read_sweep_csv(b"Frequency (kHz),Gain (V/V)\\n1,10\\n2,1\\n").gains_db.tolist()
    [20.0, 0.0]
    """
    table = read_number_table(data, max_bytes=max_bytes, max_rows=max_rows, max_columns=max_columns)
    headings = headings_of(table)
    gain_place, phase_place = _places(headings)
    values = table.values if table.values[0, 0] <= table.values[-1, 0] else table.values[::-1]
    notes: list[str] = []
    if not headings[0].name and headings[0].unit != "Hz":
        notes.append("The first column is taken as frequency in hertz; the file does not name it.")
    unit = gain_unit or _gain_unit(headings[gain_place])
    gains = _in_decibels(values[:, gain_place], unit, table.first_line)
    if unit == "ratio":
        notes.append("Gain was given as a ratio of voltages.")
    phases = None if phase_place is None else values[:, phase_place] * _degrees(headings[phase_place])
    factor = headings[0].factor if headings[0].unit == "Hz" else 1.0
    return Sweep(values[:, 0] * factor, gains, phases, tuple(notes))


def _places(headings: tuple[Heading, ...]) -> tuple[int, int | None]:
    first = headings[0]
    if first.unit not in {"Hz", ""} or (
        first.name and first.unit != "Hz" and not _FREQUENCY.match(first.name)
    ):
        raise SignalError(
            f"The first column is {first.name or first.written}.",
            given=first.written or first.name,
            allowed="frequency in the first column",
            where="head",
        )
    rest = range(1, len(headings))
    phases = [
        place for place in rest if _PHASE.search(headings[place].name) or headings[place].unit in {"°", "rad"}
    ]
    if not phases and len(headings) == 3 and not headings[2].name:
        phases = [2]
    gains = [place for place in rest if place not in phases]
    if len(gains) != 1 or len(phases) > 1:
        raise SignalError(
            f"The file has {len(gains)} gain and {len(phases)} phase columns.",
            allowed="one gain and at most one phase column",
            where="head",
        )
    return gains[0], phases[0] if phases else None


def _gain_unit(heading: Heading) -> GainUnit:
    for text in (heading.written, heading.name):
        if _DECIBEL.search(text):
            return "dB"
        if _RATIO.search(text):
            return "ratio"
    raise SignalError(
        "The head does not say whether the gain is in dB or a ratio.",
        given=f"{heading.name} {heading.written}".strip(),
        allowed="a gain column with dB, ratio or V/V in its name",
        where="head",
    )


def _in_decibels(gains: Floats, unit: GainUnit, first_line: int) -> Floats:
    if unit == "dB":
        return np.ascontiguousarray(gains)
    if (gains <= 0).any():
        row = int(np.flatnonzero(gains <= 0)[0])
        raise SignalError(
            f"The gain {gains[row]:g} in row {row + 1} below the head is not above 0 and has no level in dB.",
            given=f"{gains[row]:g}",
            allowed="ratios above 0",
            where=f"line {first_line + row}",
        )
    return 20 * np.log10(gains)


def _degrees(heading: Heading) -> float:
    is_rad = heading.unit == "rad" or re.search(r"\brad", f"{heading.name} {heading.written}", re.I)
    return 180 / np.pi if is_rad else 1.0
