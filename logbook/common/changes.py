"""Saving with a record of the change. Every command that stores an object goes through here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError
from django.db import DatabaseError, models

from logbook.common import clock
from logbook.common.errors import ConflictError, FieldProblem, InvalidInputError
from logbook.common.models import ChangeRecord

if TYPE_CHECKING:
    from logbook.accounts.models import User


@dataclass(frozen=True)
class Actor:
    """Who acts, and through which door (page, api, csv, command or demo)."""

    user: User | None
    via: str


def check_whole(instance: models.Model) -> None:
    """Run the model's own checks and constraints; name every field that fails."""
    try:
        instance.full_clean()
    except ValidationError as failure:
        problems = [
            FieldProblem(name, " ".join(messages), str(getattr(instance, name, ""))[:200])
            for name, messages in failure.message_dict.items()
        ]
        summary = "; ".join(f"{problem.field}: {problem.message}" for problem in problems)
        raise InvalidInputError(summary, problems=problems) from failure


def store_new(instance: models.Model, *, actor: Actor, project_id: int | None = None) -> None:
    """Check and insert ``instance`` and record that it was added."""
    check_whole(instance)
    instance.save(force_insert=True)
    note_change(instance, action="added", actor=actor, project_id=project_id, fields={})


def store_changes(
    instance: models.Model, values: dict[str, Any], *, actor: Actor, project_id: int | None = None
) -> dict[str, list[str]]:
    """Set ``values``, check, save only those fields and record old and new.

    Returns the fields that really changed, as ``{name: [old, new]}``; an unchanged object is not written.
    """
    changed: dict[str, list[str]] = {}
    for name, value in values.items():
        before = getattr(instance, name)
        setattr(instance, name, value)
        if before != getattr(instance, name):
            changed[name] = [str(before), str(value)]
    if not changed:
        return changed
    check_whole(instance)
    try:
        instance.save(update_fields=list(changed))
    except DatabaseError as failure:
        if "did not affect any rows" not in str(failure):
            raise
        message = f"{instance._meta.verbose_name} {instance} was removed by somebody else"
        raise ConflictError(message) from failure
    note_change(instance, action="changed", actor=actor, project_id=project_id, fields=changed)
    return changed


def note_change(
    instance: models.Model,
    *,
    action: str,
    actor: Actor,
    project_id: int | None,
    fields: dict[str, list[str]],
) -> None:
    """Write one line of the record of changes."""
    ChangeRecord.objects.create(
        at=clock.now(),
        actor=actor.user,
        via=actor.via,
        action=action,
        kind=str(instance._meta.verbose_name),
        object_id=instance.pk,
        project_id=project_id if project_id is not None else getattr(instance, "project_id", None),
        title=str(instance)[:200],
        fields=fields,
    )
