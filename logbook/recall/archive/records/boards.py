"""Boards, what was done to them, and the files that show it."""

from __future__ import annotations

from logbook.boards.models import Board, BoardEvent, OptionSetting, Rework, ReworkFoldedIn, ReworkPath
from logbook.evidence.models import Analysis, BoardPicture, Drawing, Evidence, Placing, PointPairs
from logbook.recall.archive.records.record import Record

RECORDS = (
    Record("boards", Board, "project", key=("serial",)),
    Record("board-events", BoardEvent, "board__project"),
    Record("option-settings", OptionSetting, "board__project"),
    Record("reworks", Rework, "board__project", key=("board", "key")),
    Record("rework-paths", ReworkPath, "rework__board__project"),
    Record("reworks-folded-in", ReworkFoldedIn, "rework__board__project"),
    Record("evidence", Evidence, "project"),
    Record("analyses", Analysis, "evidence__project"),
    Record("drawings", Drawing, "project"),
    Record("board-pictures", BoardPicture, "project"),
    Record("placings", Placing, "picture__project"),
    Record("point-pairs", PointPairs, "base__project"),
)
