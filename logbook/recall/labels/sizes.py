"""Sheets of labels, by their dimensions."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.common.errors import InvalidInputError

# What a desk printer leaves blank at the edge of a sheet (common practice).
UNPRINTABLE_MM = 4.5
PADDING_MM = 1.5


@dataclass(frozen=True)
class Paper:
    """A sheet of paper, upright."""

    key: str
    name: str
    width: float
    height: float


A4 = Paper("a4", "A4", 210.0, 297.0)  # ISO 216
LETTER = Paper("letter", "US letter", 215.9, 279.4)  # ANSI/ASME Y14.1, size A


@dataclass(frozen=True)
class SheetSize:
    """Equal labels in rows and columns, in the middle of the sheet; lengths in mm."""

    paper: Paper
    columns: int
    rows: int
    width: float
    height: float
    column_gap: float = 0.0

    @property
    def key(self) -> str:
        """Return the name in an address."""
        return f"{self.paper.key}-{self.columns}x{self.rows}"

    @property
    def says(self) -> str:
        """Return the size in words."""
        return (
            f"{self.paper.name}, {self.columns} × {self.rows} labels of {self.width:g} × {self.height:g} mm"
        )

    @property
    def count(self) -> int:
        """Return how many labels are on a sheet."""
        return self.columns * self.rows

    @property
    def left(self) -> float:
        """Return the margin at the left and at the right."""
        return (self.paper.width - self.columns * self.width - (self.columns - 1) * self.column_gap) / 2

    @property
    def top(self) -> float:
        """Return the margin at the top and at the foot."""
        return (self.paper.height - self.rows * self.height) / 2

    @property
    def padding(self) -> tuple[float, float]:
        """Return what stays blank inside a label, across and down: the outer ones reach the edge."""
        return max(PADDING_MM, UNPRINTABLE_MM - self.left), max(PADDING_MM, UNPRINTABLE_MM - self.top)

    def corner(self, position: int) -> tuple[float, float]:
        """Return the upper left corner of a position, counted from 0 along the rows."""
        row, column = divmod(position, self.columns)
        return self.left + column * (self.width + self.column_gap), self.top + row * self.height


# Sizes that are sold everywhere (common practice); the margins follow from them.
SIZES = (
    SheetSize(A4, 3, 8, 70.0, 37.0),
    SheetSize(A4, 3, 7, 70.0, 42.3),
    SheetSize(A4, 2, 7, 99.1, 38.1, 2.5),
    SheetSize(A4, 4, 10, 48.5, 25.4),
    SheetSize(LETTER, 3, 10, 66.7, 25.4, 3.1),
    SheetSize(LETTER, 2, 5, 101.6, 50.8, 4.8),
)
BY_KEY = {size.key: size for size in SIZES}


def size_named(key: str) -> SheetSize:
    """Return the size with a key."""
    if key not in BY_KEY:
        raise InvalidInputError.of("size", f"no sheet {key!r}", given=key, allowed=", ".join(BY_KEY))
    return BY_KEY[key]
