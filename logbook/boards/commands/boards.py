"""Adding boards and recording where they are."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from logbook.boards.choices import BoardState
from logbook.boards.commands.moments import not_in_future
from logbook.boards.models import Board, BoardEvent
from logbook.common import clock
from logbook.common.changes import Actor, store_changes, store_new
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Project, Revision


@transaction.atomic
def add_board(
    *,
    actor: Actor,
    project: Project,
    revision: Revision,
    serial: str,
    state: str = BoardState.NEW,
    location: str = "",
    last_powered: str = "",
    note: str = "",
    at: datetime | None = None,
) -> Board:
    """Add a board built to ``revision`` and record where it is."""
    check_belongs("revision", revision, project)
    board = Board(
        project=project,
        revision=revision,
        serial=serial,
        state=state,
        location=location,
        last_powered=last_powered,
        note=note,
    )
    store_new(board, actor=actor)
    record_board_event(actor=actor, board=board, state=state, location=location, at=at)
    return board


@transaction.atomic
def change_board(*, actor: Actor, board: Board, values: dict[str, Any]) -> Board:
    """Change descriptive fields. A new state or place is also recorded as an event."""
    moved = {name: values.pop(name) for name in ("state", "location") if name in values}
    store_changes(board, values, actor=actor)
    if moved:
        state = moved.get("state", board.state)
        record_board_event(
            actor=actor, board=board, state=state, location=moved.get("location", board.location)
        )
    return board


@transaction.atomic
def record_board_event(
    *,
    actor: Actor,
    board: Board,
    state: str,
    location: str = "",
    at: datetime | None = None,
    note: str = "",
) -> BoardEvent:
    """Record that a board came into a state or to a place, and return the event."""
    moment = clock.now()
    event = BoardEvent(
        board=board,
        state=state,
        location=location,
        at=not_in_future("at", at, moment),
        note=note,
        recorded_at=moment,
        recorded_by=actor.user,
    )
    store_new(event, actor=actor, project_id=board.project_id)
    newest = board.events.order_by("-at", "-id")[0]
    store_changes(board, {"state": newest.state, "location": newest.location}, actor=actor)
    return event
