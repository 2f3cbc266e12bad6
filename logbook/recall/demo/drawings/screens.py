"""Screens of instruments as the demo tells of them, drawn with the numbers of its readings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from logbook.recall.demo.drawings.sheet import (
    BODY,
    INK,
    PAPER,
    QUIET,
    RING,
    SOLDER,
    WIRE,
    Point,
    Sheet,
)

LEFT, TOP, WIDE, HIGH = 150.0, 90.0, 1040.0, 600.0
COLD, COOL, TEPID, WARM, HOT = "#3b5b92", "#5f6f8f", "#94805f", "#d08a3a", "#c0281c"


@dataclass(frozen=True)
class Axes:
    """A frame with straight scales: what its edges stand for."""

    left: float
    right: float
    bottom: float
    top: float

    def at(self, x: float, y: float) -> Point:
        """Return where a point of the plot lies on the sheet."""
        across = (x - self.left) / (self.right - self.left)
        up = (y - self.bottom) / (self.top - self.bottom)
        return LEFT + WIDE * across, TOP + HIGH * (1 - up)

    def frame(self, sheet: Sheet, across: list[float], up: list[float], units: tuple[str, str]) -> None:
        """Draw the frame with a line and a number at each place."""
        sheet.box(LEFT, TOP, WIDE, HIGH)
        for x in across:
            sheet.line(self.at(x, self.bottom), self.at(x, self.top), ink=SOLDER, width=1)
            place = self.at(x, self.bottom)
            sheet.text(place[0], place[1] + 24, f"{x:g}", 22, QUIET)
        for y in up:
            sheet.line(self.at(self.left, y), self.at(self.right, y), ink=SOLDER, width=1)
            place = self.at(self.left, y)
            sheet.text(place[0] - 14, place[1], f"{y:g}", 22, QUIET, "rm")
        sheet.text(LEFT + WIDE, TOP + HIGH + 56, units[0], 24, QUIET, "rm")
        sheet.text(LEFT - 14, TOP - 30, units[1], 24, QUIET, "mm")


def rail_ramp() -> bytes:
    """How +3V3_D of 0002 comes up, and how low it stays."""
    sheet = Sheet("0002, revision A, 2020-10-21: +3V3_D coming up")
    axes = Axes(0, 10, 0, 4)
    axes.frame(sheet, [0, 2, 4, 6, 8, 10], [0, 1, 2, 3, 4], ("ms", "V"))
    sheet.line(axes.at(0, 3.234), axes.at(10, 3.234), ink=RING, width=2)
    sheet.line(axes.at(0, 0), axes.at(3, 0), axes.at(5.4, 3.184), axes.at(10, 3.184), ink=WIRE, width=6)
    sheet.pointer(axes.at(8, 3.16), axes.at(7.2, 2.3), "3.184 V")
    sheet.text(*axes.at(0.2, 3.42), "lower limit 3.234 V", 24, RING, "lm")
    return sheet.png()


def bus_edges() -> bytes:
    """An edge of the I2C clock of 0002 with 10k, and with 2k2 added across."""
    sheet = Sheet("0002, revision A, 2020-11-03: I2C edge before and after RW-04")
    axes = Axes(0, 1500, 0, 4)
    axes.frame(sheet, [0, 300, 600, 900, 1200, 1500], [0, 1, 2, 3, 4], ("ns", "V"))
    for rise_ns, ink in ((640, QUIET), (118, WIRE)):
        # From 30 to 70 % is ln(7/3) time constants; the bus specification counts its rise so.
        constant = rise_ns / math.log(7 / 3)
        times = range(100, 1501, 10)
        edge = [axes.at(time, 3.3 * (1 - math.exp(-(time - 100) / constant))) for time in times]
        sheet.line(axes.at(0, 0), *edge, ink=ink, width=6)
    sheet.pointer(axes.at(300, 2.51), axes.at(450, 3.7), "118 ns with 2k2 across")
    sheet.pointer(axes.at(550, 1.49), axes.at(750, 0.8), "640 ns with 10k, limit 300 ns")
    return sheet.png()


def warm_regulator() -> bytes:
    """The heat picture of 0004 with the regulator of +5V0_A at 59 degrees."""
    sheet = Sheet("0004, revision B, 2021-11-26: heat picture at 25 °C around it")
    sheet.box(70, 90, 1000, 620, COLD, 4)
    for radius, colour in ((210, COOL), (160, TEPID), (110, WARM), (60, HOT)):
        sheet.round(440, 380, radius, colour, colour)
    for radius, colour in ((120, COOL), (74, TEPID), (40, WARM)):
        sheet.round(800, 250, radius, colour, colour)
    sheet.box(402, 346, 76, 68, BODY, 2)
    sheet.text(440, 380, "LDO", 24, PAPER)
    sheet.text(440, 500, "59 °C", 34, PAPER)
    sheet.text(800, 250, "56 °C", 24, PAPER)
    sheet.text(800, 330, "buck", 24, PAPER)
    for place, (colour, says) in enumerate(
        ((HOT, "59 °C"), (WARM, "50"), (TEPID, "42"), (COOL, "34"), (COLD, "25"))
    ):
        sheet.box(1110, 150 + 90 * place, 50, 90, colour, 2)
        sheet.text(1174, 195 + 90 * place, says, 24, anchor="lm")
    sheet.text(570, 670, "+5V0_A: 34 K above what is around it, limit 30 K", 28, PAPER)
    return sheet.png()


def spur() -> bytes:
    """The spectrum of a quiet input of 0004 with one line at 11.7 kHz."""
    sheet = Sheet("0004, revision B, 2021-08-17: spectrum of a shorted input")
    axes = Axes(0, 24, -150, -80)
    axes.frame(sheet, [0, 4, 8, 12, 16, 20, 24], [-140, -120, -100, -80], ("kHz", "dBFS"))
    sheet.line(axes.at(0, -110), axes.at(24, -110), ink=RING, width=2)
    floor = [
        axes.at(0.1 * step, -134 + 3 * math.sin(step * 2.399) * math.sin(step * 0.71))
        for step in range(1, 240)
    ]
    sheet.line(*floor, ink=INK, width=3)
    sheet.line(axes.at(11.7, -134), axes.at(11.7, -98), ink=WIRE, width=6)
    sheet.ring(*axes.at(11.7, -98), 34)
    sheet.pointer(axes.at(12.4, -97.5), axes.at(14, -92), "11.7 kHz at -98 dBFS")
    sheet.text(*axes.at(0.3, -108), "limit -110 dBFS", 24, RING, "lm")
    sheet.text(*axes.at(23.6, -86), "bucks at 412.0 and 400.3 kHz", 24, QUIET, "rm")
    return sheet.png()
