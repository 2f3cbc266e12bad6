"""Changes of a revision with the reworks they make part of the drawing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import transaction

from logbook.boards.choices import ReworkIntent
from logbook.boards.models import Rework, ReworkFoldedIn
from logbook.common import clock
from logbook.common.changes import Actor, store_new
from logbook.common.errors import InvalidInputError
from logbook.projects.commands import add_change
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Change, Revision, Subsystem


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
