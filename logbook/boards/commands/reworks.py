"""Storing reworks of single boards and their end."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from logbook.boards.commands.moments import not_in_future
from logbook.boards.commands.paths import PathInput, store_paths
from logbook.boards.models import Board, Rework
from logbook.common import clock
from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Subsystem

DESCRIPTIVE = frozenset({"kind", "what", "reason", "reversible"})


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
    paths: Sequence[PathInput] = (),
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
    store_paths(rework, paths)
    return rework


@transaction.atomic
def describe_rework(
    *,
    actor: Actor,
    rework: Rework,
    values: dict[str, Any],
    paths: Sequence[PathInput] | None = None,
) -> Rework:
    """Change what is said of a rework; what its readings hang on stays: undo it and record another.

    ``paths`` replaces them as a whole.
    """
    strangers = sorted(set(values) - DESCRIPTIVE)
    if strangers:
        allowed = ", ".join(sorted(DESCRIPTIVE))
        raise InvalidInputError.of(
            strangers[0], "this stays as recorded", given=strangers[0], allowed=allowed
        )
    project_id = rework.board.project_id
    store_changes(rework, values, actor=actor, project_id=project_id)
    if paths is not None:
        before = _in_words(rework)
        store_paths(rework, paths)
        # What was fetched along with the rework is older than this.
        getattr(rework, "_prefetched_objects_cache", {}).pop("paths", None)
        after = _in_words(rework)
        if after != before:
            fields = {"paths": [before, after]}
            note_change(rework, action="changed", actor=actor, project_id=project_id, fields=fields)
    return rework


def _in_words(rework: Rework) -> str:
    return "; ".join(str(path) for path in rework.paths.all())


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
