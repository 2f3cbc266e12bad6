"""Reading what was done to boards by hand."""

from __future__ import annotations

from django.db.models import QuerySet

from logbook.boards.models import Board, Rework
from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.models import Change, Project, Revision
from logbook.projects.queries import changes_of


def reworks_of_project(project: Project) -> QuerySet[Rework]:
    """Return the reworks of a project's boards, with what they touch and their paths. Three queries."""
    return (
        Rework.objects.filter(board__project=project)
        .select_related("board__project", "recorded_by")
        .prefetch_related("subsystems", "paths")
    )


def rework_numbered(project: Project, number: int) -> Rework:
    """Return one rework of a project."""
    found = reworks_of_project(project).filter(pk=number).first()
    if found is None:
        message = f"{project} has no rework {number}"
        raise NotFoundError(message)
    return found


def reworks_of(board: Board) -> QuerySet[Rework]:
    """Return the reworks of a board, newest first, with what they touch and their paths. Three queries."""
    return (
        Rework.objects.filter(board=board)
        .select_related("recorded_by")
        .prefetch_related("subsystems", "paths")
        .order_by("-in_force_from", "-id")
    )


def rework_of(board: Board, key: str) -> Rework:
    """Return the rework with ``key``."""
    found = Rework.objects.select_related("board").filter(board=board, key=key).first()
    if found is None:
        message = f"{board} has no rework {key!r}"
        raise NotFoundError(message)
    return found


def rework_named(board: Board, key: str, *, field: str = "rework") -> Rework:
    """Return the rework a write names; the error names the keys there are."""
    found = Rework.objects.select_related("board").filter(board=board, key=key).first()
    if found is None:
        keys = ", ".join(board.reworks.values_list("key", flat=True)) or "none yet"
        raise InvalidInputError.of(field, f"{board} has no rework {key!r}", given=key, allowed=keys)
    return found


def changes_and_reworks_of(revision: Revision) -> QuerySet[Change]:
    """Return the standing changes of a revision with what they touch and fold in. Five queries."""
    return changes_of(revision).prefetch_related("folded_in__rework__board")
