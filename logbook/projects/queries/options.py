"""Reading the choices a design left open."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.models import DesignedPosition, Option, Project, Revision


def option_named(project: Project, key: str, *, field: str = "option") -> Option:
    """Return the option a write names; the error names the keys there are."""
    found = Option.objects.filter(project=project, key=key).first()
    if found is None:
        keys = ", ".join(project.options.values_list("key", flat=True)) or "none yet"
        raise InvalidInputError.of(field, f"no option {key!r} here", given=key, allowed=keys)
    return found


def option_of(project: Project, key: str) -> Option:
    """Return the option with ``key``."""
    found = options_of(project).filter(key=key).first()
    if found is None:
        message = f"{project} has no option {key!r}"
        raise NotFoundError(message)
    return found


def options_of(project: Project) -> QuerySet[Option]:
    """Return the options with their positions and where they are by design. Five queries."""
    return (
        Option.objects.filter(project=project)
        .select_related("subsystem")
        .prefetch_related("positions", "designed_positions__revision", "designed_positions__position")
        .order_by("key")
    )


def designed_positions_of(revision: Revision) -> QuerySet[DesignedPosition]:
    """Return the position of each option by design on a revision. One query."""
    return (
        DesignedPosition.objects.filter(revision=revision)
        .select_related("option", "position")
        .order_by("option__key")
    )
