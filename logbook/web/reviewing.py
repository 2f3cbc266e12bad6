"""What the two pages of a revision share: opening it, reading their filter, and the boards at hand."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TypeVar

from django import forms
from django.http import HttpRequest
from django.urls import reverse

from logbook.boards.choices import AT_HAND
from logbook.common.errors import FieldProblem, InvalidInputError, NotThereYetError
from logbook.planning.queries import CoverageRow, RiskRow
from logbook.planning.queries.ancestor_boards import ancestor_boards_of
from logbook.projects.models import Revision
from logbook.projects.queries import revision_of
from logbook.web.access import ProjectPage, project_page
from logbook.web.coverage_rows import BoardsAtHand, OlderBoard
from logbook.web.forms.fields import add_problems
from logbook.web.forms.reviews import DECIDED

Answer = TypeVar("Answer")


def opened_revision(request: HttpRequest, slug: str, label: str) -> tuple[ProjectPage, Revision]:
    """Check access, then find the revision, so that a stranger learns nothing from the answer."""
    page = project_page(request, slug, door="next-spin")
    revision = revision_of(page.project, label)
    return ProjectPage(page.project, page.role, page.door, revision), revision


def asked_of(form: forms.Form, answer: Callable[[date | None], Answer]) -> Answer | None:
    """Return the answer for the day asked for; None, with the reason at its field, where there is none."""
    if not form.is_valid():
        return None
    try:
        return answer(form.cleaned_data["as_of"])
    except (InvalidInputError, NotThereYetError) as error:
        add_problems(form, error)
        return None


def day_of(form: forms.Form) -> date | None:
    """Return the day a download is asked for.

    Raises
    ------
    InvalidInputError
        When the filter cannot be read: a file holds no place to say so.
    """
    if form.is_valid():
        day: date | None = form.cleaned_data["as_of"]
        return day
    problems = [FieldProblem(name, str(messages[0])) for name, messages in form.errors.items()]
    raise InvalidInputError("the filter cannot be read", problems=problems)


def is_wanted(form: forms.Form, row: CoverageRow | RiskRow) -> bool:
    """Say whether a row fits the filter."""
    wanted = form.cleaned_data
    subsystems = row.subsystems if isinstance(row, RiskRow) else (row.target.subsystem.key,)
    if wanted["subsystem"] and wanted["subsystem"] not in subsystems:
        return False
    if (
        wanted.get("decided")
        and isinstance(row, RiskRow)
        and row.is_decided != (wanted["decided"] == DECIDED)
    ):
        return False
    words = ("state", "level", "kind")
    return all(not wanted.get(word) or str(getattr(row, word)) == wanted[word] for word in words)


def boards_at_hand(page: ProjectPage, revision: Revision, as_of: date | None = None) -> BoardsAtHand:
    """Return addresses for the boards of a revision, those in use before the new ones. One query.

    Of a past day only boards that were there then are offered.
    """
    slug = page.project.slug
    there = revision.boards.filter(events__at__date__lte=as_of).distinct() if as_of else revision.boards
    boards = list(there.order_by("serial").values_list("serial", "state"))
    measurable = [serial for wanted in AT_HAND for serial, state in boards if state == wanted]
    older = None if measurable or as_of else _older_board(slug, revision)
    return BoardsAtHand(
        benches={serial: reverse("bench-page", args=[slug, serial]) for serial in measurable},
        pages={serial: reverse("board-detail", args=[slug, serial]) for serial, _ in boards},
        add_url=reverse("board-create", args=[slug]) if page.may_edit else "",
        older=older,
    )


def _older_board(slug: str, revision: Revision) -> OlderBoard | None:
    found = ancestor_boards_of(revision)
    if found is None:
        return None
    serial = found.serials[0]
    return OlderBoard(serial, found.label, reverse("bench-page", args=[slug, serial]), found.weights)
