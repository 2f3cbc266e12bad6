"""Reading revisions and how one descends from another."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.models import Project, Revision


def revision_of(project: Project, label: str) -> Revision:
    """Return the revision with ``label``."""
    found = Revision.objects.select_related("project", "parent").filter(project=project, label=label).first()
    if found is None:
        message = f"{project} has no revision {label!r}"
        raise NotFoundError(message)
    return found


def revision_named(project: Project, label: str, *, field: str = "revision") -> Revision:
    """Return the revision a write names; the error names the labels there are."""
    found = Revision.objects.filter(project=project, label=label).first()
    if found is None:
        labels = ", ".join(project.revisions.values_list("label", flat=True)) or "none yet"
        raise InvalidInputError.of(field, f"no revision {label!r} here", given=label, allowed=labels)
    return found


def newest_revision_of(project: Project) -> Revision | None:
    """Return the revision added last; none before the first. One query."""
    return revisions_of(project).order_by("-id").first()


def revisions_of(project: Project) -> QuerySet[Revision]:
    """Return the revisions with their parents, oldest first. One query."""
    return Revision.objects.filter(project=project).select_related("parent").order_by("id")


def lineages(project: Project) -> dict[int, tuple[int, ...]]:
    """Return for each revision its own id and those of its ancestors, nearest first. One query."""
    parents = dict(Revision.objects.filter(project=project).values_list("id", "parent_id"))
    lines: dict[int, tuple[int, ...]] = {}
    for start in parents:
        line: list[int] = []
        step: int | None = start
        while step is not None and step not in line:
            line.append(step)
            step = parents[step]
        lines[start] = tuple(line)
    return lines
