"""Reading the parts of a design and what depends on what."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.models import Project, Subsystem


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


def subsystem_keys(project: Project) -> list[str]:
    """Return the keys of the subsystems, in order. One query."""
    return list(project.subsystems.order_by("position", "key").values_list("key", flat=True))


def subsystems_of(project: Project) -> QuerySet[Subsystem]:
    """Return the subsystems with what they depend on. Three queries."""
    return (
        Subsystem.objects.filter(project=project)
        .prefetch_related("dependencies__depends_on")
        .order_by("position", "key")
    )


def subsystem_needs(project: Project) -> dict[str, set[str]]:
    """Return what each subsystem depends on, by key. One query."""
    needs: dict[str, set[str]] = {}
    for key, other in project.subsystems.values_list("key", "dependencies__depends_on__key"):
        needs.setdefault(key, set())
        if other is not None:
            needs[key].add(other)
    return needs
