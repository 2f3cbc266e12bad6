"""The end-plate, the cable and the tube of the demo, drawn."""

from __future__ import annotations

import math

from logbook.recall.demo.drawings.sheet import (
    BODY,
    LAMINATE,
    METAL,
    PAPER,
    QUIET,
    RING,
    SOLDER,
    WIRE,
    Sheet,
)


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
    sheet.round(740, 460, 7, METAL)
    for pin in range(7):
        angle = math.tau * pin / 7
        sheet.round(740 + 36 * math.cos(angle), 460 + 36 * math.sin(angle), 7, METAL)
    sheet.text(740, 552, "J7", 26)
    sheet.text(740, 590, "3V3 UART", 34)
    sheet.ring(740, 588, 100)
    sheet.pointer((838, 610), (960, 690), "R88 is fitted:")
    sheet.text(970, 726, "TIA-232 levels", 26, RING, "lm")
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


def opened_cable() -> bytes:
    """The buoy cable that was cut open before it was plugged into J7."""
    sheet = Sheet("Buoy cable, 2024-05-11: opened, before anything was plugged in")
    sheet.box(60, 330, 330, 140, BODY)
    sheet.text(225, 400, "to the buoy", 28, PAPER)
    wires = (
        ("1", "0 V", QUIET),
        ("2", "into the buoy", RING),
        ("3", "out of the buoy", WIRE),
        ("7", "supply", METAL),
    )
    for place, (pin, says, colour) in enumerate(wires):
        y = 250 + 100 * place
        sheet.line((390, 360 + 26 * place), (520, y), (820, y), ink=colour, width=10)
        sheet.box(820, y - 22, 60, 44, SOLDER, 2)
        sheet.text(850, y, pin, 24)
        sheet.text(905, y, says, 26, anchor="lm")
    sheet.text(850, 180, "pin of J7", 24, QUIET)
    sheet.box(560, 308, 150, 84, LAMINATE)
    sheet.text(635, 350, "3.3 V only", 24)
    sheet.ring(635, 350, 112)
    sheet.pointer((606, 458), (520, 640), "would have met -6 V from J7 at mark")
    return sheet.png()
