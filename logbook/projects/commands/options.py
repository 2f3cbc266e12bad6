"""Options of the design and their designed positions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import transaction

from logbook.common.changes import Actor, store_changes, store_new
from logbook.common.errors import InvalidInputError
from logbook.projects.commands.belonging import check_belongs, check_position
from logbook.projects.models import (
    DesignedPosition,
    Option,
    OptionPosition,
    Project,
    Revision,
    Subsystem,
)


@transaction.atomic
def add_option(
    *,
    actor: Actor,
    project: Project,
    subsystem: Subsystem,
    key: str,
    name: str,
    positions: Sequence[tuple[str, str]],
    note: str = "",
) -> Option:
    """Add an option with its positions, each a (name, meaning)."""
    if not positions:
        raise InvalidInputError.of("positions", "an option has at least one position", allowed="1 or more")
    check_belongs("subsystem", subsystem, project)
    option = Option(project=project, subsystem=subsystem, key=key, name=name, note=note)
    store_new(option, actor=actor)
    for position, meaning in positions:
        store_new(
            OptionPosition(option=option, name=position, meaning=meaning), actor=actor, project_id=project.pk
        )
    return option


@transaction.atomic
def change_option(
    *, actor: Actor, option: Option, values: dict[str, Any], new_positions: Sequence[tuple[str, str]] = ()
) -> Option:
    """Change name or note and add positions. Key and subsystem stay: settings of boards hang on them."""
    store_changes(option, values, actor=actor)
    for name, meaning in new_positions:
        position = OptionPosition(option=option, name=name, meaning=meaning)
        store_new(position, actor=actor, project_id=option.project_id)
    return option


def position_named(option: Option, name: str | None, *, field: str = "position") -> OptionPosition | None:
    """Return the position a write names; ``None`` means not fitted."""
    if name is None:
        return None
    found = option.positions.filter(name=name).first()
    if found is None:
        names = ", ".join(option.positions.values_list("name", flat=True))
        raise InvalidInputError.of(field, f"{option} has no position {name!r}", given=name, allowed=names)
    return found


@transaction.atomic
def set_designed_position(
    *, actor: Actor, revision: Revision, option: Option, position: OptionPosition | None
) -> DesignedPosition:
    """Record the position an option has by design on a revision; ``None`` means not fitted there."""
    check_belongs("option", option, revision.project_id)
    check_position(position, option)
    stored = DesignedPosition.objects.filter(revision=revision, option=option).first()
    if stored is None:
        stored = DesignedPosition(revision=revision, option=option, position=position)
        store_new(stored, actor=actor, project_id=revision.project_id)
    else:
        store_changes(stored, {"position": position}, actor=actor, project_id=revision.project_id)
    return stored
