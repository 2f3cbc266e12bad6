"""Drawings that stand where the demo would have photos: plain lines, and each says that it is drawn."""

from __future__ import annotations

import io
from collections.abc import Callable
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


def both_straps() -> bytes:
    """0006 as it came: R88 and R89 both fitted."""
    sheet = Sheet("0006, revision C, 2024-10-15: J7 mode as it arrived")
    sheet.board("SLK rev C")
    sheet.chip(180, 250, (190, 300), 8, "U11")
    for y, name in ((270, "R88"), (460, "R89")):
        sheet.line((392, y + 32), (580, y + 32), ink=METAL, width=6)
        sheet.line((730, y + 32), (900, y + 32), (900, 400), (1000, 400), ink=METAL, width=6)
        sheet.chip_resistor(580, y, name)
    sheet.box(1000, 280, 130, 240, SOLDER)
    for place in range(5):
        sheet.round(1065, 312 + place * 44, 13, METAL)
    sheet.text(1065, 556, "J7", 28)
    sheet.ring(655, 410, 195)
    sheet.pointer((520, 550), (450, 668), "only one may be fitted")
    return sheet.png()


def memory_wires() -> bytes:
    """0004 after RW-08: two cuts, two wires at the SDRAM."""
    sheet = Sheet("0004, revision B, 2024-06-20: RW-08 at the SDRAM")
    sheet.board("SLK rev B")
    sheet.chip(150, 190, (240, 440), 10, "MCU")
    sheet.chip(860, 190, (220, 440), 10, "SDRAM")
    for place in range(10):
        y = 190 + 44 * (place + 0.5)
        sheet.line((412, y), (838, y), ink=METAL, width=5)
    for place, name in ((4, "A9"), (5, "A10")):
        y = 190 + 44 * (place + 0.5)
        sheet.line((600, y - 12), (624, y + 12), ink=RING, width=6)
        sheet.line((600, y + 12), (624, y - 12), ink=RING, width=6)
        sheet.text(790, y - 16, name, 20)
    upper, lower = 190 + 44 * 4.5, 190 + 44 * 5.5
    sheet.line((430, upper), (500, upper - 150), (720, lower + 130), (826, lower), ink=WIRE, width=7)
    sheet.line((430, lower), (500, lower + 150), (720, upper - 130), (826, upper), ink=WIRE, width=7)
    sheet.ring(612, (upper + lower) / 2, 62)
    sheet.pointer((612, upper + 84), (660, 668), "two cuts, two wires of 40 mm")
    return sheet.png()


def wrong_legend() -> bytes:
    """The end-plate that calls J7 a logic port."""
    sheet = Sheet("End-plate, revision B, 2024-05-11: the legend beside J7")
    sheet.round(640, 400, 330, SOLDER)
    sheet.round(640, 400, 300, PAPER)
    for across, down in ((640, 120), (640, 680), (360, 400), (920, 400)):
        sheet.round(across, down, 14, SOLDER)
    sheet.box(520, 230, 240, 110, LAMINATE)
    sheet.text(640, 285, "display", 24, QUIET)
    sheet.round(470, 420, 44, SOLDER)
    sheet.text(470, 490, "gain", 24)
    sheet.round(740, 460, 62, SOLDER)
    for across, down in ((-24, -18), (24, -18), (-24, 20), (24, 20), (0, 0)):
        sheet.round(740 + across, 460 + down, 8, METAL)
    sheet.text(740, 552, "J7", 26)
    sheet.text(740, 590, "3V3 UART", 34)
    sheet.ring(740, 588, 100)
    sheet.pointer((838, 610), (960, 690), "R88 is fitted:")
    sheet.text(970, 726, "TIA-232 levels", 26, RING, "lm")
    return sheet.png()


def dead_bug() -> bytes:
    """U14 on its back with three wires: RW-03 on 0002."""
    sheet = Sheet("0002, revision A, 2020-10-27: RW-03, U14 on its back")
    sheet.board("SLK rev A")
    pads = [(360, 250), (360, 400), (360, 550), (900, 250), (900, 550)]
    for number, (x, y) in enumerate(pads, start=1):
        sheet.box(x - 40, y - 24, 80, 48, METAL, 2)
        sheet.text(x + (-64 if x < 600 else 64), y, str(number), 26)
    sheet.box(520, 290, 240, 220, BODY)
    sheet.box(585, 345, 110, 110, SOLDER)
    legs = [(520, 320), (520, 400), (520, 480), (760, 320), (760, 480)]
    for x, y in legs:
        sheet.box(x - (34 if x < 600 else 0), y - 12, 34, 24, SOLDER, 2)
    sheet.text(640, 400, "U14", 28)
    sheet.line((776, 320), (850, 180), (440, 180), (360, 250), ink=WIRE, width=7)
    sheet.line((504, 400), (440, 370), (360, 400), ink=WIRE, width=7)
    sheet.line((776, 480), (840, 500), (900, 550), ink=WIRE, width=7)
    sheet.ring(640, 400, 168)
    sheet.pointer((720, 550), (760, 668), "belly up, three wires of 0.2 mm")
    return sheet.png()


def corrosion() -> bytes:
    """J7 of 0005 as it came back from the quay."""
    sheet = Sheet("0005, revision B, 2021-11-19: J7 back from the quay trial")
    sheet.board("SLK rev B")
    sheet.box(640, 220, 380, 360, SOLDER, 4)
    for place in range(5):
        sheet.round(720 + 110 * (place % 3), 310 + 160 * (place // 3), 34, METAL)
        sheet.text(720 + 110 * (place % 3), 370 + 160 * (place // 3), str(place + 1), 22)
    spots = [(712, 296, 24), (738, 322, 16), (820, 322, 26), (846, 296, 14), (716, 482, 28), (744, 456, 15)]
    spots += [(676, 420, 18), (662, 458, 12), (628, 488, 16), (604, 520, 10), (826, 484, 18)]
    for x, y, radius in spots:
        sheet.round(x, y, radius, CORROSION, CORROSION)
    for y in (310, 470):
        sheet.line((640, y), (330, y), ink=METAL, width=8)
    sheet.chip_resistor(180, 278, "R89")
    sheet.chip_resistor(180, 438, "R88", is_fitted=False)
    sheet.text(830, 604, "J7", 28)
    sheet.ring(730, 400, 205)
    sheet.pointer((590, 552), (520, 668), "green: salt water got in")
    return sheet.png()


def latch_and_pillar() -> bytes:
    """The display latch of 0006 against a pillar, from the side."""
    sheet = Sheet("0006, revision C, 2024-10-15: latch against pillar, tube closed")
    sheet.line((80, 130), (1200, 130), width=6)
    sheet.line((80, 700), (1200, 700), width=6)
    sheet.text(1190, 102, "tube", 24, QUIET, "rm")
    sheet.box(120, 560, 1040, 34, LAMINATE)
    sheet.text(1130, 620, "board", 24, QUIET, "rm")
    sheet.box(300, 420, 330, 140, SOLDER)
    sheet.text(465, 490, "display", 28)
    sheet.box(630, 392, 130, 56, BODY)
    sheet.text(664, 420, "latch", 24, PAPER)
    sheet.box(760, 134, 76, 426, SOLDER)
    sheet.text(798, 320, "pillar", 24)
    sheet.ring(762, 420, 66)
    sheet.pointer((832, 438), (930, 480), "gap 0 mm, asked 1.0 mm")
    return sheet.png()


DRAWINGS: dict[str, Callable[[], bytes]] = {
    "both-straps": both_straps,
    "memory-wires": memory_wires,
    "wrong-legend": wrong_legend,
    "dead-bug": dead_bug,
    "corrosion": corrosion,
    "latch-and-pillar": latch_and_pillar,
}
