"""Recording, describing and withdrawing the changes of a revision against its parent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import transaction

from logbook.common import clock
from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.withdrawing import withdraw
from logbook.projects.commands.belonging import check_belongs
from logbook.projects.models import Change, Revision, Subsystem

DESCRIPTIVE = frozenset({"kind", "what", "why", "state", "designators", "cause_kind", "cause"})


@transaction.atomic
def add_change(
    *,
    actor: Actor,
    revision: Revision,
    key: str,
    kind: str,
    what: str,
    subsystems: Sequence[Subsystem] = (),
    values: dict[str, Any] | None = None,
) -> Change:
    """Record a change; without subsystems it touches nothing, which is worth recording too."""
    if revision.parent_id is None:
        message = f"revision {revision} has no parent to be changed against"
        raise InvalidInputError.of("revision", message, given=revision.label)
    for subsystem in subsystems:
        check_belongs("subsystems", subsystem, revision.project_id)
    change = Change(
        revision=revision,
        key=key,
        kind=kind,
        what=what,
        recorded_at=clock.now(),
        recorded_by=actor.user,
        **_descriptive(values or {}),
    )
    store_new(change, actor=actor, project_id=revision.project_id)
    change.subsystems.set(subsystems)
    touched = ", ".join(sorted(subsystem.key for subsystem in subsystems))
    if touched:
        fields = {"touches": ["", touched]}
        note_change(change, action="changed", actor=actor, project_id=revision.project_id, fields=fields)
    return change


@transaction.atomic
def describe_change(*, actor: Actor, change: Change, values: dict[str, Any]) -> Change:
    """Change what is said of a change, its progress among it; key and what it touches stay."""
    if change.withdrawn_at is not None:
        message = f"{change} was withdrawn on {change.withdrawn_at:%Y-%m-%d}"
        raise ConflictError(message)
    store_changes(change, _descriptive(values), actor=actor, project_id=change.revision.project_id)
    return change


def _descriptive(values: dict[str, Any]) -> dict[str, Any]:
    strangers = sorted(set(values) - DESCRIPTIVE)
    if strangers:
        allowed = ", ".join(sorted(DESCRIPTIVE))
        raise InvalidInputError.of(strangers[0], "this cannot be set", given=strangers[0], allowed=allowed)
    return values


@transaction.atomic
def withdraw_change(*, actor: Actor, change: Change, because: str) -> Change:
    """Withdraw a change that was planned and dropped, or recorded in error."""
    withdraw(change, because=because, actor=actor, project_id=change.revision.project_id)
    return change
