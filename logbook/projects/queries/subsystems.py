"""Reading the parts of a design and what depends on what."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.models import Project, Subsystem, SubsystemDependency


def subsystem_named(project: Project, key: str, *, field: str = "subsystem") -> Subsystem:
    """Return the subsystem a write names; the error names the keys there are."""
    found = Subsystem.objects.filter(project=project, key=key).first()
    if found is None:
        keys = ", ".join(project.subsystems.values_list("key", flat=True)) or "none yet"
        raise InvalidInputError.of(field, f"no subsystem {key!r} here", given=key, allowed=keys)
    return found


def subsystem_of(project: Project, key: str) -> Subsystem:
    """Return the subsystem with ``key``."""
    found = subsystems_of(project).select_related("project").filter(key=key).first()
    if found is None:
        message = f"{project} has no subsystem {key!r}"
        raise NotFoundError(message)
    return found


def subsystems_of(project: Project) -> QuerySet[Subsystem]:
    """Return the subsystems with what they depend on. Three queries."""
    return (
        Subsystem.objects.filter(project=project)
        .prefetch_related("dependencies__depends_on")
        .order_by("position", "key")
    )


def subsystem_needs(project: Project) -> dict[str, set[str]]:
    """Return what each subsystem depends on, by key. Two queries."""
    needs: dict[str, set[str]] = {key: set() for key in project.subsystems.values_list("key", flat=True)}
    pairs = SubsystemDependency.objects.filter(subsystem__project=project).values_list(
        "subsystem__key", "depends_on__key"
    )
    for key, other in pairs:
        needs[key].add(other)
    return needs
