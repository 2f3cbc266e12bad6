"""The boards of a project."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.boards.queries import boards_of
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.boards import BoardFilter
from logbook.web.rendering import csv_answer, show
from logbook.web.views.structure.board_rows import BoardRow, board_rows

HEADER = ("serial", "revision", "state", "location", "last_powered", "differs")


@dataclass(frozen=True)
class BoardListPage:
    """What the list of boards shows."""

    page: ProjectPage
    boards: Sequence[BoardRow]
    filter: forms.Form
    is_filtered: bool


@signed_in
@require_safe
def board_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the boards of a project."""
    frame = project_page(request, slug)
    form, rows = _asked_for(request, frame)
    is_filtered = any(request.GET.get(name) for name in form.fields)
    return show(request, "boards/list.html", BoardListPage(frame, rows, form, is_filtered))


@signed_in
@require_safe
def board_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the same list as a table."""
    frame = project_page(request, slug)
    _, rows = _asked_for(request, frame)
    lines = [
        (
            row.board.serial,
            row.board.revision.label,
            row.board.state,
            row.board.location,
            row.board.last_powered,
            "; ".join(row.differs),
        )
        for row in rows
    ]
    return csv_answer(f"{slug}-boards.csv", HEADER, lines)


def _asked_for(request: HttpRequest, frame: ProjectPage) -> tuple[forms.Form, list[BoardRow]]:
    form = BoardFilter(request.GET)
    given = form.cleaned_data if form.is_valid() else {}
    boards = boards_of(
        frame.project,
        text=given.get("q", ""),
        state=given.get("state", ""),
        revision=given.get("revision", ""),
    )
    return form, board_rows(list(boards))
