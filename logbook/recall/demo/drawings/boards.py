"""Boards of the demo, drawn as a microscope would have shown them."""

from __future__ import annotations

from logbook.recall.demo.drawings.sheet import (
    BODY,
    CORROSION,
    METAL,
    PAPER,
    QUIET,
    RING,
    SOLDER,
    WIRE,
    Sheet,
)


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
    for place in range(8):
        x, y = 695 + 90 * (place % 4), 310 + 160 * (place // 4)
        sheet.round(x, y, 30, METAL)
        sheet.text(x, y + 56, str(place + 1), 22)
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
    for place in range(8):
        sheet.round(1065, 300 + place * 29, 10, METAL)
    sheet.text(1065, 556, "J7", 28)
    sheet.ring(655, 410, 195)
    sheet.pointer((520, 550), (450, 668), "only one may be fitted")
    return sheet.png()


def fresh_board() -> bytes:
    """0001 from above, on the day it came."""
    sheet = Sheet("0001, revision A, 2020-10-20: from above, before its first power")
    sheet.board("SLK rev A")
    sheet.chip(160, 470, (150, 180), 6, "U5")
    sheet.chip(470, 300, (200, 240), 10, "MCU")
    sheet.chip(470, 170, (200, 90), 4, "SDRAM")
    sheet.chip(800, 300, (150, 200), 8, "ADC")
    for place in range(4):
        sheet.round(1080, 250 + 105 * place, 40, SOLDER)
        sheet.round(1080, 250 + 105 * place, 10, METAL)
        sheet.text(1004, 250 + 105 * place, f"CH{place + 1}", 22)
    sheet.box(140, 240, 150, 120, SOLDER)
    sheet.text(215, 300, "J1", 28)
    sheet.box(420, 600, 170, 80, SOLDER)
    sheet.text(505, 640, "J7", 28)
    sheet.box(690, 600, 190, 80, SOLDER)
    sheet.text(785, 640, "card", 24)
    for place in range(6):
        sheet.box(360, 400 + 30 * place, 26, 14, METAL, 2)
        sheet.box(720, 330 + 30 * place, 26, 14, METAL, 2)
    sheet.text(215, 400, "9 to 16 V", 22, QUIET)
    return sheet.png()


def strap_wire() -> bytes:
    """The empty pads of R9 and the wire to TP14: RW-02."""
    sheet = Sheet("0002, revision A, 2020-10-27: RW-02, R9 off, wire to TP14")
    sheet.board("SLK rev A")
    sheet.chip(180, 230, (200, 360), 8, "U3")
    sheet.line((402, 410), (560, 410), ink=METAL, width=6)
    sheet.line((710, 410), (880, 410), (880, 250), (1010, 250), ink=METAL, width=6)
    sheet.chip_resistor(560, 378, "R9", is_fitted=False)
    sheet.text(1040, 250, "+3V3_D", 24, QUIET, "lm")
    sheet.round(980, 560, 34, METAL)
    sheet.text(980, 618, "TP14", 26)
    sheet.line((583, 410), (620, 520), (800, 590), (980, 560), ink=WIRE, width=7)
    sheet.ring(635, 412, 118)
    sheet.pointer((560, 505), (500, 668), "strap 2 no longer pulled high")
    return sheet.png()


def crystal_resistor() -> bytes:
    """The crystal of 0004 with a resistor in series, to find where it no longer starts."""
    sheet = Sheet("0004, revision B, 2021-06-22: 25 MHz crystal, resistor in series")
    sheet.board("SLK rev B")
    sheet.chip(170, 230, (200, 360), 8, "U3")
    sheet.box(800, 270, 180, 280, SOLDER, 4)
    sheet.text(890, 410, "25 MHz", 28)
    sheet.line((392, 320), (800, 320), ink=METAL, width=6)
    sheet.line((392, 500), (560, 500), ink=METAL, width=6)
    sheet.line((690, 500), (800, 500), ink=METAL, width=6)
    sheet.box(560, 476, 130, 48, BODY)
    sheet.text(625, 500, "140", 28, PAPER)
    for x, y, name in ((1040, 290, "C11 18 pF"), (1040, 500, "C12 18 pF")):
        sheet.box(x, y, 40, 60, BODY, 2)
        sheet.line((980, y + 30), (1040, y + 30), ink=METAL, width=6)
        sheet.text(x + 20, y + 88, name, 22)
    sheet.ring(625, 500, 92)
    sheet.pointer((660, 586), (700, 668), "starts up to 140 ohm, the crystal has 60")
    return sheet.png()
