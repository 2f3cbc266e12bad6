"""Registration: finding how one picture fits over another from a few points seen on both."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.core.board_picture.transform import Transform
from logbook.core.errors import PictureError

FEWEST, MOST = 2, 4
# From this many pairs on the picture may also be stretched and sheared.
AFFINE_FROM = 4
# A map whose unknowns the points fix this badly is refused: the points coincide or lie on one line.
WORST_CONDITION = 1e6


@dataclass(frozen=True)
class Pair:
    """One point as seen on both pictures, in units of each.

    Parameters
    ----------
    base_x, base_y : float
        Where it lies on the picture that stays.
    over_x, over_y : float
        Where it lies on the picture laid over it.
    """

    base_x: float
    base_y: float
    over_x: float
    over_y: float


@dataclass(frozen=True)
class Registered:
    """How the picture laid over fits, and how well.

    Parameters
    ----------
    transform : Transform
        From units of the picture laid over to those of the picture that stays.
    residual : float
        Root mean square distance of the mapped points from where they should be, in units of the picture
        that stays; 0 for two pairs, which a similarity always meets.
    kind : str
        ``similarity`` (shift, turn, scale) or ``affine`` (stretch and shear too).
    """

    transform: Transform
    residual: float
    kind: str


def registered(pairs: Sequence[Pair]) -> Registered:
    """Return the least-squares map of the picture laid over onto the picture that stays.

    Parameters
    ----------
    pairs : sequence of Pair
        Shape (n,), 2 to 4 of them; units are those of the pictures, the same in x and y.

    Returns
    -------
    Registered
        A similarity for two or three pairs, an affine map for four.

    Raises
    ------
    PictureError
        Fewer than two or more than four pairs, or points that coincide or lie on one line.

    Notes
    -----
    Similarity: x' = a x - b y + c, y' = b x + a y + d; two equations a pair, four unknowns. It keeps
    shapes and never mirrors. Neither map undoes the perspective of a photo taken at a slant.

    References
    ----------
    R. Hartley and A. Zisserman, *Multiple View Geometry in Computer Vision*, 2nd edition 2004, table 2.1
    (degrees of freedom: similarity 4, affine 6); quoted from memory.

    Examples
    --------
    >>> found = registered([Pair(0, 0, 0, 0), Pair(20, 0, 10, 0)])
    >>> found.transform.at(5, 5), found.kind
    ((10.0, 10.0), 'similarity')
    """
    if not FEWEST <= len(pairs) <= MOST:
        message = f"a picture is laid over by {FEWEST} to {MOST} pairs of points"
        raise PictureError(message, given=str(len(pairs)), allowed=f"{FEWEST} to {MOST}", where="pairs")
    # Shifted and scaled first, or large coordinates would make good points look badly placed.
    middle_x = sum(pair.over_x for pair in pairs) / len(pairs)
    middle_y = sum(pair.over_y for pair in pairs) / len(pairs)
    size = max(math.hypot(pair.over_x - middle_x, pair.over_y - middle_y) for pair in pairs) or 1.0
    around = [((pair.over_x - middle_x) / size, (pair.over_y - middle_y) / size) for pair in pairs]
    goals = np.array([value for pair in pairs for value in (pair.base_x, pair.base_y)], dtype=float)
    is_affine = len(pairs) >= AFFINE_FROM
    rows = _affine_rows(around) if is_affine else _similarity_rows(around)
    if np.linalg.cond(rows) > WORST_CONDITION:
        message = "the points coincide or lie on one line; take points far apart"
        raise PictureError(message, where="pairs")
    found = np.linalg.lstsq(rows, goals, rcond=None)[0]
    linear = _affine(found) if is_affine else _similarity(found)
    if linear.area_factor < 1e-9:
        message = "the points coincide on the picture that stays; take points far apart"
        raise PictureError(message, where="pairs")
    transform = Transform(1 / size, 0, -middle_x / size, 0, 1 / size, -middle_y / size).then(linear)
    return Registered(transform, _residual(pairs, transform), "affine" if is_affine else "similarity")


def _similarity_rows(points: Sequence[tuple[float, float]]) -> NDArray[np.float64]:
    return np.array([row for x, y in points for row in ((x, -y, 1, 0), (y, x, 0, 1))], dtype=float)


def _affine_rows(points: Sequence[tuple[float, float]]) -> NDArray[np.float64]:
    return np.array([row for x, y in points for row in ((x, y, 1, 0, 0, 0), (0, 0, 0, x, y, 1))], dtype=float)


def _similarity(found: NDArray[np.float64]) -> Transform:
    a, b, c, d = (float(value) for value in found)
    return Transform(a, -b, c, b, a, d)


def _affine(found: NDArray[np.float64]) -> Transform:
    return Transform(*(float(value) for value in found))


def _residual(pairs: Sequence[Pair], transform: Transform) -> float:
    squares = 0.0
    for pair in pairs:
        x, y = transform.at(pair.over_x, pair.over_y)
        squares += (x - pair.base_x) ** 2 + (y - pair.base_y) ** 2
    return math.sqrt(squares / len(pairs))
