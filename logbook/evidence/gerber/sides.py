"""The picture of one side of a board, whose pixels say what lies there.

Rule: each pixel is a sum of the bits below, and the palette only colours it; so two drawn pictures are
compared by what lies there, not by colour.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from logbook.core.board_picture import Frame

BOARD, COPPER, OPENING, LEGEND, HOLE = 1, 2, 4, 8, 16
BITS = {"copper": COPPER, "mask opening": OPENING, "legend": LEGEND, "holes": HOLE, "board": BOARD}
MOST_LOOPS = 500

PAPER, LAMINATE, METAL = (250, 249, 245), (214, 204, 160), (205, 170, 95)
MASKED, MASKED_COPPER, INK, DRILLED = (26, 92, 66), (40, 128, 88), (245, 245, 240), (40, 44, 48)

Bits = NDArray[np.uint8]
Point = tuple[float, float]


def colour_of(bits: int) -> tuple[int, int, int]:
    """Return the colour of a pixel."""
    if bits & HOLE:
        return DRILLED
    if not bits & BOARD:
        return PAPER
    if bits & OPENING:
        return METAL if bits & COPPER else LAMINATE
    if bits & LEGEND:
        return INK
    return MASKED_COPPER if bits & COPPER else MASKED


def coloured(bits: Bits) -> Image.Image:
    """Return the picture whose pixels are ``bits``."""
    image = Image.fromarray(bits).convert("P")
    image.putdata(bits.ravel().tolist())
    image.putpalette([part for value in range(256) for part in colour_of(value)])
    return image


def side_of(masks: Mapping[str, Bits], board: Bits) -> Bits:
    """Return the bits of one side; without a solder mask everything is bare."""
    bits = board * BOARD
    opening = masks.get("mask opening", np.ones_like(board))
    for name, mask in {**masks, "mask opening": opening}.items():
        # A hole at the edge of the board is part of its outline too.
        bits |= mask * BITS[name]
    return np.asarray(bits, dtype=np.uint8)


def board_within(lines: list[list[Point]], size: tuple[int, int]) -> Bits:
    """Return where there is board: inside an odd number of closed loops.

    Raises
    ------
    ValueError
        The lines close no loop, or far too many.
    """
    from scipy import ndimage

    edges = Image.new("L", size, 0)
    draw = ImageDraw.Draw(edges)
    for line in lines:
        draw.line(line, fill=1, width=1)
    loops, count = ndimage.label(np.asarray(edges), np.ones((3, 3)))
    if count > MOST_LOOPS:
        message = f"the outline is made of more than {MOST_LOOPS} pieces"
        raise ValueError(message)
    board = np.zeros(loops.shape, dtype=np.uint8)
    is_closed = False
    for number, window in enumerate(ndimage.find_objects(loops), start=1):
        loop = loops[window] == number
        filled = ndimage.binary_fill_holes(loop)
        is_closed = is_closed or filled.sum() > loop.sum()
        board[window] ^= filled.astype(np.uint8)
    if not is_closed:
        message = "the outline of the board is not closed"
        raise ValueError(message)
    return board


def frame_around(
    low: tuple[float, float], high: tuple[float, float], scale: float, *, mirrored: bool
) -> Frame:
    """Return the frame around a board with a rim, on a grid of whole pixels.

    So the same copper gives the same pixels whatever else was drawn.
    """
    rim = 1.0
    left = np.floor((low[0] - rim) * scale) / scale
    right = np.ceil((high[0] + rim) * scale) / scale
    top = np.ceil((high[1] + rim) * scale) / scale
    return Frame(scale, float(right if mirrored else left), float(top), is_mirrored=mirrored)
