"""What makes a board differ from its drawing, stored and made to count at once."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from django.db import transaction

from logbook.bench.commands.current import recompute
from logbook.bench.models import CurrentResult
from logbook.bench.queries.evaluation import Cell
from logbook.boards.commands import PathInput, end_rework, store_option_setting, store_rework
from logbook.boards.models import Board, OptionSetting, Rework
from logbook.common.changes import Actor
from logbook.projects.commands import set_designed_position
from logbook.projects.models import DesignedPosition, Option, OptionPosition, Revision, Subsystem


@transaction.atomic
def record_rework(
    *,
    actor: Actor,
    board: Board,
    key: str,
    kind: str,
    intent: str,
    what: str,
    subsystems: Sequence[Subsystem],
    reason: str = "",
    in_force_from: datetime | None = None,
    reversible: bool = True,
    paths: Sequence[PathInput] = (),
) -> Rework:
    """Record a rework of one board and derive the results it touches anew."""
    _lock([board.pk])
    rework = store_rework(
        actor=actor,
        board=board,
        key=key,
        kind=kind,
        intent=intent,
        what=what,
        subsystems=subsystems,
        reason=reason,
        in_force_from=in_force_from,
        reversible=reversible,
        paths=paths,
    )
    _derive_anew([board], {subsystem.pk for subsystem in subsystems})
    return rework


@transaction.atomic
def undo_rework(*, actor: Actor, rework: Rework, at: datetime | None = None, note: str = "") -> Rework:
    """Record that a rework was undone and derive the results it touches anew."""
    _lock([rework.board_id])
    end_rework(actor=actor, rework=rework, at=at, note=note)
    _derive_anew([rework.board], set(rework.subsystems.values_list("pk", flat=True)))
    return rework


@transaction.atomic
def record_option_setting(
    *,
    actor: Actor,
    board: Board,
    option: Option,
    position: OptionPosition | None,
    in_force_from: datetime | None = None,
    note: str = "",
) -> OptionSetting:
    """Record the position an option was found in and derive the results it touches anew."""
    _lock([board.pk])
    setting = store_option_setting(
        actor=actor, board=board, option=option, position=position, in_force_from=in_force_from, note=note
    )
    _derive_anew([board], {option.subsystem_id})
    return setting


@transaction.atomic
def set_position_by_design(
    *, actor: Actor, revision: Revision, option: Option, position: OptionPosition | None
) -> DesignedPosition:
    """Record an option's designed position on a revision and derive its boards' results anew."""
    boards = list(revision.boards.all())
    _lock([board.pk for board in boards])
    designed = set_designed_position(actor=actor, revision=revision, option=option, position=position)
    _derive_anew(boards, {option.subsystem_id})
    return designed


def _lock(board_ids: Sequence[int]) -> None:
    list(Board.objects.select_for_update().filter(pk__in=board_ids).order_by("pk").values_list("pk"))


def _derive_anew(boards: Sequence[Board], subsystem_ids: Collection[int]) -> None:
    if not boards:
        return
    rows = CurrentResult.objects.filter(
        board_id__in=[board.pk for board in boards], target__subsystem_id__in=subsystem_ids
    )
    cells = [Cell(*row) for row in rows.values_list("target_id", "board_id", "point")]
    recompute(boards[0].project, cells=cells)
