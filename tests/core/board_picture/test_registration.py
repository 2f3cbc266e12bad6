"""Registration, against NumPy's own solver and against maps known beforehand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from logbook.core.board_picture import Frame, Pair, Transform, registered
from logbook.core.errors import PictureError

TURNED = Transform(0.8, -0.6, 120.0, 0.6, 0.8, -40.0)
SHEARED = Transform(1.1, 0.2, 30.0, -0.1, 0.9, 5.0)
CORNERS = [(0.0, 0.0), (4000.0, 20.0), (3980.0, 2900.0), (10.0, 3000.0)]


def _pairs(transform: Transform, count: int, off: float = 0.0) -> list[Pair]:
    points = [(*transform.at(x, y), x, y) for x, y in CORNERS[:count]]
    return [Pair(bx + off * (-1) ** n, by, x, y) for n, (bx, by, x, y) in enumerate(points)]


@pytest.mark.parametrize(
    ("known", "count", "kind"),
    [(TURNED, 2, "similarity"), (TURNED, 3, "similarity"), (SHEARED, 4, "affine")],
)
def test_it_finds_a_map_known_beforehand(known: Transform, count: int, kind: str) -> None:
    found = registered(_pairs(known, count))
    assert found.kind == kind
    assert found.residual == pytest.approx(0, abs=1e-8)
    assert found.transform.at(1234, 987) == pytest.approx(known.at(1234, 987))


@pytest.mark.parametrize("count", [3, 4])
def test_what_does_not_fit_is_spread_as_numpy_spreads_it(count: int) -> None:
    pairs = _pairs(SHEARED, count, off=7.0)
    if count == 3:
        rows = [r for p in pairs for r in ((p.over_x, -p.over_y, 1, 0), (p.over_y, p.over_x, 0, 1))]
    else:
        rows = [
            r for p in pairs for r in ((p.over_x, p.over_y, 1, 0, 0, 0), (0, 0, 0, p.over_x, p.over_y, 1))
        ]
    goals = [value for p in pairs for value in (p.base_x, p.base_y)]
    squares = np.linalg.lstsq(np.array(rows), np.array(goals), rcond=None)[1][0]
    assert registered(pairs).residual == pytest.approx(math.sqrt(squares / count), rel=1e-6)
    assert registered(pairs).residual > 1


@pytest.mark.parametrize(
    ("pairs", "says"),
    [
        pytest.param([Pair(0, 0, 0, 0)], "2 to 4", id="one pair"),
        pytest.param([Pair(0, 0, 5, 5), Pair(9, 9, 5, 5)], "far apart", id="one place over"),
        pytest.param([Pair(5, 5, 0, 0), Pair(5, 5, 9, 9)], "far apart", id="one place below"),
        pytest.param([Pair(n, n, n, n) for n in range(4)], "one line", id="on one line"),
        pytest.param([Pair(n, 0, n, 0) for n in range(5)], "2 to 4", id="five pairs"),
    ],
)
def test_points_that_say_nothing_are_refused(pairs: list[Pair], says: str) -> None:
    with pytest.raises(PictureError, match=says):
        registered(pairs)


def test_there_and_back_again() -> None:
    there = SHEARED.then(TURNED)
    assert there.inverse().at(*there.at(3.0, -8.0)) == pytest.approx((3.0, -8.0))
    assert there.area_factor == pytest.approx(SHEARED.area_factor * TURNED.area_factor)
    with pytest.raises(PictureError, match="onto a line"):
        Transform(1, 1, 0, 1, 1, 0).inverse()


def test_the_bottom_is_seen_mirrored() -> None:
    top = Frame(20, left_mm=-1, top_mm=61, is_mirrored=False)
    bottom = Frame(20, left_mm=101, top_mm=61, is_mirrored=True)
    assert top.to_mm.at(20, 20) == pytest.approx((0, 60))
    assert bottom.to_mm.at(20, 20) == pytest.approx((100, 60))
    assert bottom.to_pixels.at(100, 60) == pytest.approx((20, 20))
    with pytest.raises(PictureError, match="above 0"):
        Frame(0, 0, 0, is_mirrored=False)
