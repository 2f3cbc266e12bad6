"""The options of a revision: designed, ordered, decided, and how each board has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from logbook.boards.queries import OptionRow, option_table
from logbook.boards.queries.boards import newest_revision_built
from logbook.projects.models import Revision
from logbook.projects.queries import newest_revision_of, position_in_words, revision_of
from logbook.web.access import ProjectPage, project_page, signed_in
from logbook.web.forms.option_decisions import OptionFilter
from logbook.web.rendering import csv_answer, show

HEADER = (
    "revision", "option", "name", "designed", "ordered", "decision", "board", "built", "found", "since",
    "differences",
)  # fmt: skip


@dataclass(frozen=True)
class OptionListPage:
    """What the options of a revision show."""

    page: ProjectPage
    revision: Revision | None
    rows: Sequence[OptionRow]
    filter: forms.Form
    is_filtered: bool


@signed_in
@require_safe
def option_list(request: HttpRequest, slug: str) -> HttpResponse:
    """Show every option of a revision with every board built to it."""
    frame = project_page(request, slug)
    form, revision, rows = _asked_for(request, frame)
    is_filtered = any(request.GET.get(name) for name in form.fields)
    return show(request, "options/list.html", OptionListPage(frame, revision, rows, form, is_filtered))


@signed_in
@require_safe
def option_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """Return the same as a table, one line a board."""
    frame = project_page(request, slug)
    _, revision, rows = _asked_for(request, frame)
    lines = [line for row in rows for line in _lines(row)]
    label = revision.label if revision else "none"
    return csv_answer(f"{slug}-options-{label}.csv", HEADER, lines)


def _asked_for(
    request: HttpRequest, frame: ProjectPage
) -> tuple[forms.Form, Revision | None, list[OptionRow]]:
    form = OptionFilter(request.GET, project=frame.project)
    given = form.cleaned_data if form.is_valid() else {}
    if given.get("revision"):
        revision: Revision | None = revision_of(frame.project, given["revision"])
    else:
        revision = newest_revision_built(frame.project) or newest_revision_of(frame.project)
    rows = option_table(revision) if revision else []
    if given.get("only") == "differing":
        rows = [row for row in rows if row.differences]
    if given.get("only") == "open":
        rows = [row for row in rows if row.standing.is_open]
    return form, revision, rows


def _lines(row: OptionRow) -> list[tuple[object, ...]]:
    standing = row.standing
    option = (
        standing.revision.label,
        standing.option.key,
        standing.option.name,
        position_in_words(standing.drawn.position) if standing.drawn else "",
        position_in_words(standing.ordered.position) if standing.ordered else "",
        standing.says,
    )
    told = "; ".join(row.differences)
    seen = [
        (
            *option,
            run.board.serial,
            position_in_words(run.built.position) if run.built else "not known",
            position_in_words(run.found.position),
            run.since.isoformat(),
            told,
        )
        for run in row.runs
    ]
    unseen = [(*option, board.serial, "not looked at", "not looked at", "", told) for board in row.unseen]
    return [*seen, *unseen] or [(*option, "", "", "", "", told)]
