"""A range of a capture as a table: one unit a column, said in its heading."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from logbook.core.quantities import canonical_text, without_trailing_zeros
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
    levels = [*view.high, *([] if tops_only else view.low)]
    places = range(0, len(view.low), each)
    columns = [(f"{view.x_name} from", view.x_unit, [view.x[place] for place in places], view.x)]
    if not tops_only:
        lows = [min(view.low[place : place + each]) for place in places]
        columns.append((f"{view.name} lowest", view.unit, lows, levels))
    highs = [max(view.high[place : place + each]) for place in places]
    columns.append((f"{view.name} highest", view.unit, highs, levels))
    written = [_column(*column) for column in columns]
    rows = [tuple(row) for row in zip(*(cells for _, cells in written), strict=True)]
    return CaptureTable(tuple(heading for heading, _ in written), rows)


def _column(
    name: str, unit: str, values: Sequence[float], all_values: Sequence[float]
) -> tuple[str, list[str]]:
    """Return the heading of a column and its numbers, in the unit and to the step that suit all values."""
    largest = max(map(abs, all_values))
    power = 0
    if largest > 0 and unit not in PLAIN and not unit.startswith("dB"):
        power = min(9, max(-12, math.floor(math.log10(largest)) // 3 * 3))
    place = _last_place(all_values, largest) - power
    shown = [_text(value / 10.0**power, place) for value in values]
    unit = f"{PREFIXES[power]}{unit}"
    return f"{name}, {unit}" if unit else name, shown


def _last_place(values: Sequence[float], largest: float) -> int:
    """Return the power of ten of the last digit: the sixth of the range, however far from zero it lies."""
    spread = max(values) - min(values) or largest
    return max(math.floor(math.log10(spread)) - 5, math.floor(math.log10(largest)) - 14) if spread else 0


def _text(value: float, place: int) -> str:
    rounded = Decimal(value).quantize(Decimal(1).scaleb(place)) if place < 0 else Decimal(round(value))
    return canonical_text(without_trailing_zeros(rounded))
