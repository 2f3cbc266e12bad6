"""Reading boards and what happened to them."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from logbook.boards.models import Board, BoardEvent
from logbook.common.errors import InvalidInputError, NotFoundError
from logbook.projects.models import Project, Revision


def board_of(project: Project, serial: str) -> Board:
    """Return the board with ``serial``."""
    found = Board.objects.select_related("revision", "project").filter(project=project, serial=serial).first()
    if found is None:
        message = f"{project} has no board {serial!r}"
        raise NotFoundError(message)
    return found


def board_named(project: Project, serial: str, *, field: str = "board") -> Board:
    """Return the board a write names; the error names the serials there are."""
    found = Board.objects.select_related("revision").filter(project=project, serial=serial).first()
    if found is None:
        serials = ", ".join(project.boards.values_list("serial", flat=True)[:20]) or "none yet"
        raise InvalidInputError.of(field, f"no board {serial!r} here", given=serial, allowed=serials)
    return found


def boards_of(project: Project, *, text: str = "", state: str = "", revision: str = "") -> QuerySet[Board]:
    """Return the boards of a project by serial; ``text`` is looked for in serial, place and note."""
    boards = Board.objects.filter(project=project).select_related("revision").order_by("serial")
    if text:
        found = Q(serial__icontains=text) | Q(location__icontains=text) | Q(note__icontains=text)
        boards = boards.filter(found)
    if state:
        boards = boards.filter(state=state)
    return boards.filter(revision__label=revision) if revision else boards


def events_of(board: Board) -> QuerySet[BoardEvent]:
    """Return the states and places a board came to, newest first. One query."""
    return BoardEvent.objects.filter(board=board).select_related("recorded_by").order_by("-at", "-id")


def newest_revision_built(project: Project) -> Revision | None:
    """Return the newest revision of which there is a board. One query."""
    return Revision.objects.filter(project=project, boards__isnull=False).order_by("-id").first()
