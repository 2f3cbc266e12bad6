"""A limit strip ready to be written down. Lengths are in the picture's own units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Size = Literal["large", "small"]
# Width of one character of the captions; the font is 11 units high and monospaced.
CHARACTER = 6.8


@dataclass(frozen=True)
class Sign:
    """A mark at a place of the scale; ``beyond`` is -1 or 1 where it would lie outside the picture."""

    x: float
    beyond: int = 0


@dataclass(frozen=True)
class Band:
    """A stretch of the scale."""

    x: float
    end: float

    @property
    def width(self) -> float:
        """Return its length."""
        return round(self.end - self.x, 2)


@dataclass(frozen=True)
class Caption:
    """A word below the scale."""

    x: float
    y: float
    text: str
    anchor: str = "middle"

    @property
    def reach(self) -> tuple[float, float]:
        """Return where the text begins and ends."""
        length = len(self.text) * CHARACTER
        begins = {"start": self.x, "middle": self.x - length / 2, "end": self.x - length}[self.anchor]
        return begins, begins + length


@dataclass(frozen=True)
class Strip:
    """A strip ready to be written down. ``is_drawn`` is false where there is no scale, only words."""

    size: Size
    label: str
    tone: str = "none"
    is_drawn: bool = False
    zones: tuple[Band, ...] = ()
    guards: tuple[Band, ...] = ()
    limits: tuple[Sign, ...] = ()
    sisters: tuple[Sign, ...] = ()
    reach: Band | None = None
    needle: Sign | None = None
    captions: tuple[Caption, ...] = ()

    @property
    def width(self) -> int:
        """Return the width of the picture."""
        return 480 if self.size == "large" else 180

    @property
    def height(self) -> int:
        """Return the height of the picture."""
        if self.size == "small":
            return 20
        return 76 if self.sisters else 60

    @property
    def axis_y(self) -> int:
        """Return the height of the scale's line."""
        return 26 if self.size == "large" else 10

    @property
    def band_y(self) -> int:
        """Return the upper edge of zone and guard bands."""
        return self.axis_y - self.band_height // 2

    @property
    def band_height(self) -> int:
        """Return the height of zone and guard bands."""
        return 20 if self.size == "large" else 12

    @property
    def limit_top(self) -> int:
        """Return the upper end of a limit's line."""
        return 10 if self.size == "large" else 2

    @property
    def limit_foot(self) -> int:
        """Return the lower end of a limit's line."""
        return 42 if self.size == "large" else 18

    @property
    def sister_top(self) -> int:
        """Return the upper end of another board's tick."""
        return 36 if self.size == "large" else 13

    @property
    def sister_foot(self) -> int:
        """Return the lower end of another board's tick."""
        return 44 if self.size == "large" else 19

    @property
    def needle_top(self) -> int:
        """Return the upper end of the value's line."""
        return 11 if self.size == "large" else 3

    @property
    def needle_foot(self) -> int:
        """Return the lower end of the value's line."""
        return 41 if self.size == "large" else 17

    @property
    def arrow(self) -> str:
        """Return the arrow that stands for a value outside the picture; empty when it is inside."""
        if self.needle is None or self.needle.beyond == 0:
            return ""
        length = self.band_height * 0.6
        tip = self.width - 1 if self.needle.beyond > 0 else 1
        back = tip - self.needle.beyond * length
        half = self.band_height / 2
        return f"{tip},{self.axis_y} {back:g},{self.axis_y - half:g} {back:g},{self.axis_y + half:g}"
