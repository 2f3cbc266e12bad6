"""Drawn areas against what the shapes must have by geometry; files after the published specification."""

from __future__ import annotations

import io
import math
from pathlib import Path

import numpy as np
import pytest
from gerbonara import GerberFile
from numpy.typing import NDArray
from PIL import Image

from logbook.core.board_picture import Frame
from logbook.evidence.gerber import drawing, shapes, sides
from logbook.evidence.gerber.drawing import Drawn, NotDrawnError, drawn
from logbook.evidence.gerber.layers import layers_in
from tests.evidence.gerber import files

SCALE = 20
# Arc of 90° counter-clockwise (4.7.2) with a circle of 1 mm, radius 5 mm around (5, 2).
ARC = (
    f"%ADD12C,1*%\nD12*\nG75*\nX{files.at(10)}Y{files.at(2)}D02*\nG03*\n"
    f"X{files.at(5)}Y{files.at(7)}I{files.at(-5)}J0D01*\nG01*\n"
)
CLEARED = files.rectangle(2, 2, 8, 4) + "%LPC*%\n" + files.rectangle(4, 3, 2, 2) + "%LPD*%\n"
# An aperture with a hole (4.4.2) lets what lies below it through: here a bar of 1 mm by 6 mm.
RING_OVER_BAR = files.rectangle(7, 2, 6, 1) + files.flash("C,4X2", (10, 2.5))


def _drawn(bundle: bytes, folder: Path) -> Drawn:
    path = folder / "bundle.zip"
    path.write_bytes(bundle)
    return drawn(path, {one.name: one.layer for one in layers_in(path)})


def _bits(found: Drawn, side: str = "top") -> NDArray[np.uint8]:
    png = next(one.png for one in found.sides if one.side == side)
    image = Image.open(io.BytesIO(png))
    assert image.mode == "P"
    return np.asarray(image)


def _area(bits: NDArray[np.uint8], bit: int) -> float:
    return float(np.count_nonzero(bits & bit)) / SCALE**2


@pytest.mark.parametrize(
    ("copper", "area", "edge"),
    [
        pytest.param(files.rectangle(2, 2, 6, 4), 24, 20, id="region"),
        pytest.param(files.flash("C,3", (5, 5)), math.pi * 1.5**2, 3 * math.pi, id="circle"),
        pytest.param(files.flash("R,4X2", (5, 5)), 8, 12, id="rectangle"),
        pytest.param(files.flash("O,4X2", (5, 5)), 2 * 2 + math.pi, 4 + 2 * math.pi, id="obround"),
        pytest.param(files.flash("P,4X6", (5, 5)), 1.5 * math.sqrt(3) * 4, 12, id="hexagon"),
        pytest.param(files.track(1, (2, 2), (8, 6)), math.hypot(6, 4) + math.pi / 4, 16, id="slanted track"),
        pytest.param(ARC, 5 * math.pi / 2 + math.pi / 4, 18, id="arc"),
        pytest.param(CLEARED, 32 - 4, 32, id="cleared again"),
        pytest.param(RING_OVER_BAR, 3 * math.pi + 2 * 1 * 1.0 + 1.913, 40, id="hole in an aperture"),
    ],
)
def test_copper_has_its_area(copper: str, area: float, edge: float, tmp_path: Path) -> None:
    bits = _bits(_drawn(files.board(copper), tmp_path))
    # A drawn edge may lie half a pixel off.
    assert _area(bits, sides.COPPER) == pytest.approx(area, abs=0.5 / SCALE * edge)


def test_the_board_is_what_its_outline_holds_without_cut_outs(tmp_path: Path) -> None:
    cut = files.gerber(files.outline(20, 10) + files.outline(4, 3, 5, 5).replace("%ADD10C,0.1*%\n", ""))
    bundle = files.board(
        files.rectangle(1, 1, 2, 2), edge_gbr=cut.replace("%FS", "%TF.FileFunction,Profile,NP*%\n%FS")
    )
    assert _area(_bits(_drawn(bundle, tmp_path)), sides.BOARD) == pytest.approx(
        200 - 12, abs=0.5 / SCALE * 74
    )


def test_each_bit_comes_from_its_layer_and_the_bottom_is_mirrored(tmp_path: Path) -> None:
    bundle = files.board(
        files.rectangle(2, 2, 6, 4),
        mask_gbr=files.gerber(files.flash("C,1", (15, 8)), "Soldermask,Top"),
        silk_gbr=files.gerber(files.track(0.2, (10, 5), (14, 5)), "Legend,Top"),
        holes_drl=files.drill(2.0, (18, 8)),
    )
    found = _drawn(bundle, tmp_path)
    top, bottom = _bits(found), _bits(found, "bottom")
    frames = {one.side: one.frame for one in found.sides}

    def there(bits: NDArray[np.uint8], side: str, x: float, y: float) -> int:
        px, py = frames[side].to_pixels.at(x, y)
        return int(bits[round(py), round(px)])

    assert there(top, "top", 5, 4) == sides.BOARD | sides.COPPER
    assert there(top, "top", 15, 8) == sides.BOARD | sides.OPENING
    assert there(top, "top", 12, 5) == sides.BOARD | sides.LEGEND
    assert there(top, "top", 18, 8) == sides.BOARD | sides.HOLE
    # Without a solder mask everything is bare.
    assert there(bottom, "bottom", 3, 3) == sides.BOARD | sides.COPPER | sides.OPENING
    assert frames["bottom"].to_pixels.at(3, 3)[0] > frames["bottom"].to_pixels.at(15, 3)[0]
    assert there(bottom, "bottom", 18, 8) & sides.HOLE


def test_inches_are_inches(tmp_path: Path) -> None:
    # A unit of inches (4.2): a square of 0.2 in is 25.8064 mm².
    head = "%TF.FileFunction,Copper,L1,Top*%\n%FSLAX26Y26*%\n%MOIN*%\n"
    inch = f"{head}%ADD11R,0.2X0.2*%\nD11*\nX300000Y200000D03*\nM02*\n"
    bits = _bits(_drawn(files.board("", top_gbr=inch), tmp_path))
    assert _area(bits, sides.COPPER) == pytest.approx(25.8064, abs=0.5 / SCALE * 20.4)


@pytest.mark.parametrize(
    ("bundle", "says"),
    [
        pytest.param(
            files.board("%SRX3Y2I5J5*%\n" + files.rectangle(1, 1, 2, 2) + "%SR*%\n"),
            "single board",
            id="panel",
        ),
        pytest.param(files.board(files.rectangle(0, 0, 5, 5), width=1500), "up to 1000 mm", id="giant"),
        pytest.param(
            files.board(files.rectangle(1, 1, 2, 2), holes_drl="M48\nT01C1.0\n%\nT01\nX1Y1\nM30\n"),
            "millimetres or inches",
            id="drill without unit",
        ),
        pytest.param(
            files.board(
                files.rectangle(1, 1, 2, 2),
                edge_gbr=files.gerber(files.track(0.1, (0, 0), (20, 10)), "Profile,NP"),
            ),
            "not closed",
            id="open outline",
        ),
    ],
)
def test_what_would_be_drawn_wrongly_is_refused_with_the_reason(
    bundle: bytes, says: str, tmp_path: Path
) -> None:
    with pytest.raises(NotDrawnError, match=says):
        _drawn(bundle, tmp_path)


def test_a_file_of_endless_statements_is_not_even_read(tmp_path: Path) -> None:
    flashes = "%ADD11C,0.1*%\nD11*\n" + "X1000000Y1000000D03*\n" * 420_000
    with pytest.raises(NotDrawnError, match="more than 400000 statements"):
        _drawn(files.board(flashes), tmp_path)


def test_shapes_beyond_the_bound_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    text = files.gerber(files.flash("C,1", *((n, 1) for n in range(5))))
    monkeypatch.setattr(shapes, "MOST_SHAPES", 4)
    with pytest.raises(shapes.TooMuchError, match="more than 4 shapes"):
        shapes.painted(GerberFile.from_string(text).objects, Frame(2, 0, 10, is_mirrored=False), (20, 20))


def test_without_the_extra_it_says_which_one_is_missing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(drawing, "is_available", lambda: False)
    with pytest.raises(NotDrawnError, match="extra gerber"):
        _drawn(files.board(files.rectangle(1, 1, 2, 2)), tmp_path)
