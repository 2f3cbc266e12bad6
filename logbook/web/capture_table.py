"""A range of a capture as a table: one unit a column, said in its heading."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from logbook.evidence.levels import View

ROWS = 24
PREFIXES = {-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G"}
# Units that take no prefix; levels in decibels neither.
PLAIN = {"", "°", "FS", "%"}


@dataclass(frozen=True)
class CaptureTable:
    """Headings with their units, and the rows below them."""

    headings: tuple[str, ...]
    rows: list[tuple[str, ...]]


def table_of(view: View, *, tops_only: bool = False) -> CaptureTable:
    """Return a view as at most 24 rows; ``tops_only`` leaves the lowest out."""
    each = max(-(-len(view.low) // ROWS), 1)
    places = range(0, len(view.low), each)
    columns = [(f"{view.x_name} from", view.x_unit, [view.x[place] for place in places])]
    if not tops_only:
        lows = [min(view.low[place : place + each]) for place in places]
        columns.append((f"{view.name} lowest", view.unit, lows))
    highs = [max(view.high[place : place + each]) for place in places]
    columns.append((f"{view.name} highest", view.unit, highs))
    written = [_column(*column) for column in columns]
    rows = [tuple(row) for row in zip(*(cells for _, cells in written), strict=True)]
    return CaptureTable(tuple(heading for heading, _ in written), rows)


def _column(name: str, unit: str, values: Sequence[float]) -> tuple[str, list[str]]:
    """Return the heading of a column and its numbers, all in one unit."""
    largest = max(map(abs, values))
    power = 0
    if largest > 0 and unit not in PLAIN and not unit.startswith("dB"):
        power = min(9, max(-12, math.floor(math.log10(largest)) // 3 * 3))
    digits = _digits(values, largest)
    shown = [f"{Decimal(f'{value / 10.0**power:.{digits}g}'):f}" for value in values]
    unit = f"{PREFIXES[power]}{unit}"
    return f"{name}, {unit}" if unit else name, shown


def _digits(values: Sequence[float], largest: float) -> int:
    """Return enough digits to tell a thousandth of the range apart, however far from zero it lies."""
    spread = max(values) - min(values)
    return min(15, max(5, math.ceil(math.log10(largest / spread)) + 3)) if spread > 0 and largest > 0 else 6
