"""Where things lie on the picture of a board, and how two pictures of it fit over each other.

Rule: a picture's own units are pixels from its upper left corner, x to the right and y down; a board's are
millimetres as its designer sees its top side, x to the right and y up.
"""

from logbook.core.board_picture.frame import Frame
from logbook.core.board_picture.registration import Pair, Registered, registered
from logbook.core.board_picture.transform import Transform

__all__ = ["Frame", "Pair", "Registered", "Transform", "registered"]
