"""Tables of boards, of what was done to them and of how their options were found."""

from logbook.boards.models.boards import Board, BoardEvent
from logbook.boards.models.options import OptionSetting
from logbook.boards.models.reworks import Rework, ReworkFoldedIn, ReworkPath

__all__ = ["Board", "BoardEvent", "OptionSetting", "Rework", "ReworkFoldedIn", "ReworkPath"]
