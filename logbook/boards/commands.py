"""Writes to boards. Reworks and option settings are stored here and made to count by ``bench``."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from logbook.boards.choices import BoardState, ReworkIntent
from logbook.boards.models import Board, BoardEvent, OptionSetting, Rework, ReworkFoldedIn
from logbook.common import clock
from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.projects.commands import add_change
from logbook.projects.commands.belonging import check_belongs, check_position
from logbook.projects.models import Change, Option, OptionPosition, Project, Revision, Subsystem


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
        at=_not_in_future("at", at, moment),
        note=note,
        recorded_at=moment,
        recorded_by=actor.user,
    )
    store_new(event, actor=actor, project_id=board.project_id)
    newest = board.events.order_by("-at", "-id")[0]
    store_changes(board, {"state": newest.state, "location": newest.location}, actor=actor)
    return event


def _not_in_future(field: str, given: datetime | None, moment: datetime) -> datetime:
    if given is not None and given > moment:
        raise InvalidInputError.of(
            field, "this lies in the future", given=given, allowed=f"up to {moment:%Y-%m-%d %H:%M}"
        )
    return given or moment


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
        in_force_from=_not_in_future("in_force_from", in_force_from, moment),
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
    moment = _not_in_future("at", at, clock.now())
    store_changes(rework, {"in_force_until": moment}, actor=actor, project_id=rework.board.project_id)
    if note:
        fields = {"note": ["", note]}
        note_change(rework, action="undone", actor=actor, project_id=rework.board.project_id, fields=fields)
    return rework


@transaction.atomic
def record_change(
    *,
    actor: Actor,
    revision: Revision,
    key: str,
    kind: str,
    what: str,
    subsystems: Sequence[Subsystem] = (),
    folds_in: Sequence[Rework] = (),
    values: dict[str, Any] | None = None,
) -> Change:
    """Record a change of a revision and the reworks it makes part of the drawing, all or nothing."""
    change = add_change(
        actor=actor,
        revision=revision,
        key=key,
        kind=kind,
        what=what,
        subsystems=subsystems,
        values=values,
    )
    for rework in dict.fromkeys(folds_in):
        fold_in_rework(actor=actor, change=change, rework=rework)
    return change


@transaction.atomic
def fold_in_rework(*, actor: Actor, change: Change, rework: Rework) -> ReworkFoldedIn:
    """Record that a change makes part of the drawing what a rework did by hand."""
    check_belongs("rework", rework.board, change.revision.project_id)
    if rework.intent == ReworkIntent.TO_DRAWING:
        message = f"{rework} brought its board back to its drawing; there is nothing to fold in"
        raise InvalidInputError.of("rework", message, given=rework)
    folded = ReworkFoldedIn(change=change, rework=rework, recorded_at=clock.now(), recorded_by=actor.user)
    store_new(folded, actor=actor, project_id=change.revision.project_id)
    return folded


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
    begins = _not_in_future("in_force_from", in_force_from, moment)
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
