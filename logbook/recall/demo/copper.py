"""The Gerber files of the demo's board, written here: invented outline, pads, tracks and holes.

Format 4.6 in millimetres, as the Gerber Layer Format Specification (Ucamco) describes it; the files name
their layers by its .FileFunction attribute.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from logbook.evidence.gerber.bundle import packed

WIDTH_MM, HEIGHT_MM = 100.0, 60.0
HOLES = [(4.0, 4.0), (96.0, 4.0), (96.0, 56.0), (4.0, 56.0)]
Point = tuple[float, float]


class Sheet:
    """One Gerber file while it is written."""

    def __init__(self, function: str) -> None:
        self._lines = [f"%TF.FileFunction,{function}*%", "%FSLAX46Y46*%", "%MOMM*%", "G01*"]
        self._apertures: dict[str, int] = {}

    def pads(self, shape: str, places: Iterable[Point]) -> None:
        """Flash an aperture such as ``R,1.2X0.6``."""
        self._choose(shape)
        self._lines += [f"{_at(place)}D03*" for place in places]

    def track(self, width: float, *path: Point) -> None:
        """Draw a line with round ends."""
        self._choose(f"C,{width}")
        self._lines += [f"{_at(place)}D0{1 if n else 2}*" for n, place in enumerate(path)]

    def text(self) -> bytes:
        """Return the file."""
        return "\n".join([*self._lines, "M02*", ""]).encode()

    def _choose(self, shape: str) -> None:
        number = self._apertures.setdefault(shape, 10 + len(self._apertures))
        if number == 9 + len(self._apertures):
            self._lines.append(f"%ADD{number}{shape}*%")
        self._lines.append(f"D{number}*")


def revision_b() -> bytes:
    """Return the files of revision B: the open connector at J7."""
    j7 = [(92.0, 22.0 + 2.0 * pin) for pin in range(8)]
    return _bundle(j7, "C,1.5", 0.9, [(86.0, 36.0)])


def revision_c() -> bytes:
    """Return the files of revision C: the sealed connector at J7, R89 beside R88, two more test points."""
    j7 = [(90.0, 21.0 + 2.2 * pin) for pin in range(8)]
    return _bundle(j7, "C,1.8", 1.1, [(86.0, 40.0), (82.0, 40.0)], [(70.0, 50.0), (62.0, 50.0)])


def _bundle(
    j7: Sequence[Point], pad: str, hole: float, straps: Sequence[Point], points: Sequence[Point] = ()
) -> bytes:
    parts = {
        "R,1.2X0.5": [(x, y) for x in (30.0, 41.0) for y in _row(14.0, 0.8, 27)],
        "R,0.5X1.4": [(x, y) for y in (42.0, 52.0) for x in _row(24.0, 0.8, 16)],
        "R,2.2X3": [(x, y) for y in (46.0, 51.5) for x in (8.0, 14.0)],
        "R,1X1.3": [(x + side, y) for x, y in straps for side in (-0.95, 0.95)],
        "C,1.6": [(54.0, 50.0), (46.0, 50.0), (62.0, 8.0), *points],
        pad: list(j7),
    }
    top, mask, legend = Sheet("Copper,L1,Top"), Sheet("Soldermask,Top"), Sheet("Legend,Top")
    for shape, places in parts.items():
        top.pads(shape, places)
        mask.pads(shape, places)
    for pin, place in enumerate(j7):
        top.track(0.4, place, (78.0 - 1.2 * pin, place[1]), (72.0 - 1.2 * pin, 12.0 + 1.2 * pin))
    for x, y in parts["R,1.2X0.5"][27:]:
        top.track(0.2, (x, y), (48.0, y), (52.0, y + 4.0))
    for place in parts["C,1.6"]:
        top.track(0.5, place, (place[0], 44.0 if place[1] > 30 else 12.0))
    _box(legend, 29.0, 12.8, 42.0, 36.2)
    _box(legend, min(x for x, _y in j7) - 3, 18.0, 99.0, 38.0)
    for x, y in straps:
        _box(legend, x - 2, y - 1.1, x + 2, y + 1.1)
    return packed([
        ("outline.gbr", _outline()),
        ("copper-top.gbr", top.text()),
        ("mask-top.gbr", mask.text()),
        ("legend-top.gbr", legend.text()),
        ("copper-bottom.gbr", _bottom(j7, pad)),
        ("mask-bottom.gbr", _openings(j7, pad)),
        ("holes.drl", _drill(hole, j7)),
    ])  # fmt: skip


def _row(first: float, pitch: float, count: int) -> list[float]:
    return [first + pitch * place for place in range(count)]


def _box(sheet: Sheet, left: float, low: float, right: float, high: float) -> None:
    sheet.track(0.25, (left, low), (right, low), (right, high), (left, high), (left, low))


def _outline() -> bytes:
    sheet = Sheet("Profile,NP")
    sheet.track(0.1, (0, 0), (WIDTH_MM, 0), (WIDTH_MM, HEIGHT_MM), (0, HEIGHT_MM), (0, 0))
    return sheet.text()


def _bottom(j7: Sequence[Point], pad: str) -> bytes:
    sheet = Sheet("Copper,L4,Bot")
    sheet.pads(pad, j7)
    for x in _row(10.0, 6.0, 12):
        sheet.track(3.0, (x, 8.0), (x, 52.0))
    return sheet.text()


def _openings(j7: Sequence[Point], pad: str) -> bytes:
    sheet = Sheet("Soldermask,Bot")
    sheet.pads(pad, j7)
    return sheet.text()


def _drill(hole: float, j7: Sequence[Point]) -> bytes:
    tools = [(3.2, HOLES), (hole, j7)]
    head = "".join(f"T{n:02d}C{size:.3f}\n" for n, (size, _places) in enumerate(tools, start=1))
    body = "".join(
        f"T{n:02d}\n" + "".join(f"X{x:.3f}Y{y:.3f}\n" for x, y in places)
        for n, (_size, places) in enumerate(tools, start=1)
    )
    return f"M48\nMETRIC\n{head}%\nG05\n{body}M30\n".encode()


def _at(place: Point) -> str:
    return f"X{round(place[0] * 1e6)}Y{round(place[1] * 1e6)}"


COPPER: dict[str, Callable[[], bytes]] = {"copper-b": revision_b, "copper-c": revision_c}
