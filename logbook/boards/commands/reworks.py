"""Storing reworks of single boards and their end."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from logbook.boards.commands.moments import not_in_future
from logbook.boards.models import Board, Rework
from logbook.common import clock
from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Subsystem


@transaction.atomic
def store_rework(
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
) -> Rework:
    """Store a rework of one board, in force from now or from ``in_force_from``."""
    if not subsystems:
        raise InvalidInputError.of("subsystems", "name at least one subsystem the rework touches")
    for subsystem in subsystems:
        check_belongs("subsystems", subsystem, board.project_id)
    moment = clock.now()
    rework = Rework(
        board=board,
        key=key,
        kind=kind,
        intent=intent,
        what=what,
        reason=reason,
        in_force_from=not_in_future("in_force_from", in_force_from, moment),
        reversible=reversible,
        recorded_at=moment,
        recorded_by=actor.user,
    )
    store_new(rework, actor=actor, project_id=board.project_id)
    rework.subsystems.set(subsystems)
    return rework


@transaction.atomic
def end_rework(*, actor: Actor, rework: Rework, at: datetime | None = None, note: str = "") -> Rework:
    """Record that a rework was undone. Its readings keep it."""
    # What the caller holds may be older than what somebody else recorded since.
    rework.refresh_from_db(fields=["in_force_until"])
    if rework.in_force_until is not None:
        message = f"{rework} was already undone on {rework.in_force_until:%Y-%m-%d}"
        raise ConflictError(message)
    moment = not_in_future("at", at, clock.now())
    store_changes(rework, {"in_force_until": moment}, actor=actor, project_id=rework.board.project_id)
    if note:
        fields = {"note": ["", note]}
        note_change(rework, action="undone", actor=actor, project_id=rework.board.project_id, fields=fields)
    return rework
