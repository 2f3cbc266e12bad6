"""A sheet of paper for the drawings of the demo; each says on it that it is drawn."""

from __future__ import annotations

import io
from dataclasses import dataclass, field

from PIL import Image, ImageDraw, ImageFont

WIDTH, HEIGHT = 1280, 860
# Drawn larger and scaled down, so that slanted lines are smooth.
LARGER = 2
PAPER, INK, QUIET = "#faf9f5", "#22303a", "#6b7780"
LAMINATE, METAL, SOLDER, BODY = "#e3ede4", "#d9b36c", "#c3c9cc", "#3d4a52"
RING, WIRE, CORROSION = "#c0281c", "#2b62b3", "#3f9c7c"
HONEST = "drawn, not a photo"

Point = tuple[float, float]


@dataclass(frozen=True)
class Sheet:
    """A sheet of paper with a caption, drawn on in pixels of the finished picture."""

    caption: str
    image: Image.Image = field(
        default_factory=lambda: Image.new("RGB", (WIDTH * LARGER, HEIGHT * LARGER), PAPER)
    )

    @property
    def _draw(self) -> ImageDraw.ImageDraw:
        return ImageDraw.Draw(self.image)

    def box(self, x: float, y: float, width: float, height: float, fill: str = PAPER, line: int = 3) -> None:
        """Draw a rectangle from its upper left corner."""
        edges = _scaled((x, y), (x + width, y + height))
        self._draw.rectangle(edges, fill=fill, outline=INK, width=line * LARGER)

    def round(self, x: float, y: float, radius: float, fill: str | None = PAPER, ink: str = INK) -> None:
        """Draw a circle around its centre."""
        edges = _scaled((x - radius, y - radius), (x + radius, y + radius))
        self._draw.ellipse(edges, fill=fill, outline=ink, width=3 * LARGER)

    def line(self, *points: Point, ink: str = INK, width: int = 3) -> None:
        """Draw straight pieces from point to point."""
        self._draw.line(_scaled(*points), fill=ink, width=width * LARGER, joint="curve")

    def text(
        self, x: float, y: float, words: str, size: int = 24, ink: str = INK, anchor: str = "mm"
    ) -> None:
        """Write words around a point."""
        font = ImageFont.load_default(size * LARGER)
        self._draw.text(_scaled((x, y))[0], words, fill=ink, font=font, anchor=anchor)

    def ring(self, x: float, y: float, radius: float) -> None:
        """Ring what the picture is about."""
        edges = _scaled((x - radius, y - radius), (x + radius, y + radius))
        self._draw.ellipse(edges, outline=RING, width=6 * LARGER)

    def pointer(self, tip: Point, end: Point, words: str) -> None:
        """Write words with a line to what they speak of."""
        self.line(tip, end, ink=RING, width=3)
        to_right = end[0] >= tip[0]
        self.text(end[0] + (10 if to_right else -10), end[1], words, 26, RING, "lm" if to_right else "rm")

    def board(
        self, title: str, x: float = 70, y: float = 90, width: float = 1140, height: float = 640
    ) -> None:
        """Draw the outline of a board with its holes and its name."""
        self.box(x, y, width, height, LAMINATE, 4)
        for across in (x + 34, x + width - 34):
            for down in (y + 34, y + height - 34):
                self.round(across, down, 15)
        self.text(x + width / 2, y + 32, title, 24, QUIET)

    def chip(self, x: float, y: float, size: Point, pins: int, name: str) -> None:
        """Draw a part with ``pins`` on its left and right sides."""
        width, height = size
        pitch = height / pins
        for place in range(pins):
            middle = y + pitch * (place + 0.5)
            for across in (x - 22, x + width):
                self.box(across, middle - pitch * 0.22, 22, pitch * 0.44, SOLDER, 2)
        self.box(x, y, width, height, BODY)
        self.round(x + 18, y + 18, 6, LAMINATE)
        self.text(x + width / 2, y + height / 2, name, 28, PAPER)

    def chip_resistor(self, x: float, y: float, name: str, *, is_fitted: bool = True) -> None:
        """Draw a chip resistor or its empty pads."""
        for across in (x, x + 104):
            self.box(across, y, 46, 64, SOLDER if is_fitted else METAL, 2)
        if is_fitted:
            self.box(x + 34, y - 2, 82, 68, BODY)
        self.text(x + 75, y + 92, name, 26)

    def png(self) -> bytes:
        """Return the finished picture with its captions."""
        self.line((0, HEIGHT - 66), (WIDTH, HEIGHT - 66), ink=QUIET, width=1)
        self.text(40, HEIGHT - 33, self.caption, 26, anchor="lm")
        self.text(WIDTH - 40, HEIGHT - 33, HONEST, 26, QUIET, "rm")
        stream = io.BytesIO()
        self.image.resize((WIDTH, HEIGHT), Image.Resampling.LANCZOS).save(stream, "PNG")
        return stream.getvalue()


def _scaled(*points: Point) -> list[Point]:
    return [(x * LARGER, y * LARGER) for x, y in points]
