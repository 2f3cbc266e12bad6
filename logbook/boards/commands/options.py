"""Storing how the options of a board were found."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from logbook.boards.commands.moments import not_in_future
from logbook.boards.models import Board, OptionSetting
from logbook.common import clock
from logbook.common.changes import Actor, store_changes, store_new
from logbook.common.errors import ConflictError
from logbook.projects.commands.belonging import check_belongs, check_position
from logbook.projects.models import Option, OptionPosition


@transaction.atomic
def store_option_setting(
    *,
    actor: Actor,
    board: Board,
    option: Option,
    position: OptionPosition | None,
    in_force_from: datetime | None = None,
    note: str = "",
) -> OptionSetting:
    """Store the position an option was found in; it holds until the next setting of that option."""
    check_belongs("option", option, board.project_id)
    check_position(position, option)
    moment = clock.now()
    begins = not_in_future("in_force_from", in_force_from, moment)
    others = OptionSetting.objects.filter(board=board, option=option)
    if others.filter(in_force_from=begins).exists():
        message = f"{option} on {board} already has a setting from {begins:%Y-%m-%d %H:%M}"
        raise ConflictError(message)
    before = others.filter(in_force_from__lt=begins).order_by("-in_force_from").first()
    after = others.filter(in_force_from__gt=begins).order_by("in_force_from").first()
    if before is not None:
        store_changes(before, {"in_force_until": begins}, actor=actor, project_id=board.project_id)
    setting = OptionSetting(
        board=board,
        option=option,
        position=position,
        in_force_from=begins,
        in_force_until=after.in_force_from if after else None,
        note=note,
        recorded_at=moment,
        recorded_by=actor.user,
    )
    store_new(setting, actor=actor, project_id=board.project_id)
    return setting
