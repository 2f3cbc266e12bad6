"""Reading revisions and how one descends from another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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


@dataclass(frozen=True)
class Descent:
    """The label of every revision, and its line: its own id and those of its ancestors, nearest first."""

    labels: Mapping[int, str]
    lines: Mapping[int, tuple[int, ...]]

    def line_in_words(self, revision_id: int) -> tuple[str, ...]:
        """Return the labels of a revision and its ancestors, nearest first."""
        return tuple(self.labels[pk] for pk in self.lines[revision_id])


def descent_of(project: Project) -> Descent:
    """Return how the revisions of a project descend from one another. One query."""
    rows = Revision.objects.filter(project=project).values_list("id", "label", "parent_id")
    return descent_from([*rows])


def descent_from(rows: Sequence[tuple[int, str, int | None]]) -> Descent:
    """Return how revisions descend from one another, from the id, label and parent of each."""
    return Descent({pk: label for pk, label, _ in rows}, _lines({pk: parent for pk, _, parent in rows}))


def lineages(project: Project) -> Mapping[int, tuple[int, ...]]:
    """Return for each revision its own id and those of its ancestors, nearest first. One query."""
    return descent_of(project).lines


def _lines(parents: Mapping[int, int | None]) -> dict[int, tuple[int, ...]]:
    lines: dict[int, tuple[int, ...]] = {}
    for start in parents:
        line: list[int] = []
        step: int | None = start
        while step is not None and step not in line:
            line.append(step)
            step = parents[step]
        lines[start] = tuple(line)
    return lines
