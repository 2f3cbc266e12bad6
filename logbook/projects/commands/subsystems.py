"""Adding and changing subsystems."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import transaction

from logbook.common.changes import Actor, note_change, store_changes, store_new
from logbook.common.errors import InvalidInputError
from logbook.core.graph import find_cycle
from logbook.projects.models import Project, Subsystem, SubsystemDependency
from logbook.projects.queries import subsystem_named, subsystem_needs


@transaction.atomic
def add_subsystem(
    *,
    actor: Actor,
    project: Project,
    key: str,
    name: str,
    kind: str,
    purpose: str = "",
    depends_on: Sequence[str] = (),
) -> Subsystem:
    """Add a subsystem; ``depends_on`` names others by key."""
    subsystem = Subsystem(
        project=project,
        key=key,
        name=name,
        kind=kind,
        purpose=purpose,
        position=project.subsystems.count(),
    )
    store_new(subsystem, actor=actor)
    _replace_dependencies(subsystem, depends_on, actor=actor)
    return subsystem


@transaction.atomic
def change_subsystem(
    *, actor: Actor, subsystem: Subsystem, values: dict[str, Any], depends_on: Sequence[str] | None = None
) -> Subsystem:
    """Change descriptive fields; ``depends_on`` replaces the whole set."""
    store_changes(subsystem, values, actor=actor)
    if depends_on is not None:
        _replace_dependencies(subsystem, depends_on, actor=actor)
    return subsystem


def _replace_dependencies(subsystem: Subsystem, keys: Sequence[str], *, actor: Actor) -> None:
    # Two changes that are no circle each may be one together.
    Project.objects.select_for_update(no_key=True).get(pk=subsystem.project_id)
    others = [subsystem_named(subsystem.project, key, field="depends_on") for key in dict.fromkeys(keys)]
    needs = subsystem_needs(subsystem.project)
    before = sorted(needs[subsystem.key])
    wanted = sorted(other.key for other in others)
    if before == wanted:
        return
    circle = find_cycle(needs | {subsystem.key: set(wanted)})
    if circle:
        message = f"subsystems would depend on each other in a circle: {' → '.join(circle)}"
        raise InvalidInputError.of("depends_on", message, given=", ".join(keys), code="circle")
    SubsystemDependency.objects.filter(subsystem=subsystem).delete()
    SubsystemDependency.objects.bulk_create(
        SubsystemDependency(subsystem=subsystem, depends_on=other) for other in others
    )
    fields = {"depends on": [", ".join(before), ", ".join(wanted)]}
    note_change(subsystem, action="changed", actor=actor, project_id=subsystem.project_id, fields=fields)
