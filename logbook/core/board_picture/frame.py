"""The frame of a picture drawn to scale: which pixel is which millimetre."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.core.board_picture.transform import Transform
from logbook.core.errors import PictureError


@dataclass(frozen=True)
class Frame:
    """Where a drawn picture lies on the board.

    Parameters
    ----------
    pixels_per_mm : float
        Scale, above 0.
    left_mm, top_mm : float
        Board coordinates of the upper left corner of the picture.
    is_mirrored : bool
        Whether the board is seen from below, so that x runs to the left.

    Raises
    ------
    PictureError
        The scale is not above 0.
    """

    pixels_per_mm: float
    left_mm: float
    top_mm: float
    is_mirrored: bool

    def __post_init__(self) -> None:
        if not self.pixels_per_mm > 0:
            message = "a scale lies above 0"
            raise PictureError(message, given=str(self.pixels_per_mm), allowed="above 0", where="scale")

    @property
    def to_mm(self) -> Transform:
        """Return the map from pixels of the picture to millimetres of the board."""
        step = 1 / self.pixels_per_mm
        return Transform(-step if self.is_mirrored else step, 0, self.left_mm, 0, -step, self.top_mm)

    @property
    def to_pixels(self) -> Transform:
        """Return the map from millimetres of the board to pixels of the picture."""
        return self.to_mm.inverse()
