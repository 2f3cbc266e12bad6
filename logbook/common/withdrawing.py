"""Withdrawing what a state depends on: it stays readable with who, when and why, and is never undone."""

from __future__ import annotations

from typing import Any

from django.db.models import Model

from logbook.common import clock
from logbook.common.changes import Actor, note_change
from logbook.common.errors import ConflictError, InvalidInputError

LONGEST = 500


def withdraw(thing: Any, *, because: str, actor: Actor, project_id: int) -> None:
    """Mark ``thing``, which has ``withdrawn_at``, ``_by`` and ``_because``, as withdrawn, once."""
    because = because.strip()
    if not because or len(because) > LONGEST:
        raise InvalidInputError.of(
            "because", "say why it is withdrawn", given=because, allowed=f"1 to {LONGEST} characters"
        )
    table: type[Model] = type(thing)
    withdrawn = table._default_manager.filter(pk=thing.pk, withdrawn_at__isnull=True).update(
        withdrawn_at=clock.now(), withdrawn_by=actor.user, withdrawn_because=because
    )
    thing.refresh_from_db(fields=["withdrawn_at", "withdrawn_by", "withdrawn_because"])
    if not withdrawn:
        message = f"{thing} was already withdrawn on {thing.withdrawn_at:%Y-%m-%d %H:%M}"
        raise ConflictError(message)
    fields = {"withdrawn": ["", because]}
    note_change(thing, action="withdrawn", actor=actor, project_id=project_id, fields=fields)
