"""Reading how the options of boards were found."""

from __future__ import annotations

from django.db.models import Exists, OuterRef, QuerySet, Subquery

from logbook.boards.models import Board, OptionSetting
from logbook.projects.models import DesignedPosition


def option_settings_of(board: Board) -> QuerySet[OptionSetting]:
    """Return how the options of a board were found over time, newest first. One query."""
    return (
        OptionSetting.objects.filter(board=board)
        .select_related("option", "position", "recorded_by")
        .order_by("option__key", "-in_force_from", "-id")
    )


def settings_off_design(board_ids: list[int]) -> list[OptionSetting]:
    """Return the settings that differ from the designed position of the board's revision. One query."""
    drawn = DesignedPosition.objects.filter(revision=OuterRef("board__revision"), option=OuterRef("option"))
    settings = (
        OptionSetting.objects.filter(Exists(drawn), board_id__in=board_ids)
        .annotate(designed_id=Subquery(drawn.values("position")[:1]))
        .select_related("option", "position", "board")
    )
    return [setting for setting in settings if setting.designed_id != setting.position_id]


def off_design_in_words(setting: OptionSetting) -> str:
    """Say how a setting differs from the drawing."""
    if setting.position is None:
        return f"{setting.option.key} not fitted, though by design it is"
    return f"{setting.option.key} at {setting.position}, not as designed"
