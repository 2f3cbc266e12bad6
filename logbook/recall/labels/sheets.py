"""Labels laid out on sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.common.errors import InvalidInputError
from logbook.recall.labels.content import Label
from logbook.recall.labels.layout import Drawn, laid_out
from logbook.recall.labels.sizes import SheetSize


@dataclass(frozen=True)
class Placed:
    """A label and where its upper left corner lies on the sheet."""

    x: float
    y: float
    drawn: Drawn


@dataclass(frozen=True)
class Sheet:
    """One sheet of labels."""

    size: SheetSize
    labels: tuple[Placed, ...]


def sheets_of(labels: Sequence[Label], size: SheetSize, *, start: int = 1) -> list[Sheet]:
    """Return the sheets that hold ``labels``; those before position ``start`` are used up already."""
    if not 1 <= start <= size.count:
        message = f"a sheet of {size.columns} × {size.rows} labels has no position {start}"
        raise InvalidInputError.of("start", message, given=start, allowed=f"1 to {size.count}")
    sheets: dict[int, list[Placed]] = {}
    for at, label in enumerate(labels, start=start - 1):
        number, position = divmod(at, size.count)
        x, y = size.corner(position)
        sheets.setdefault(number, []).append(Placed(round(x, 3), round(y, 3), laid_out(label, size)))
    return [Sheet(size, tuple(placed)) for placed in sheets.values()]
