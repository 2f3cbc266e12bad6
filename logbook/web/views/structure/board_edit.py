"""Adding and changing boards, and recording what happened to one."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from logbook.bench.commands import record_option_setting, record_rework, undo_rework
from logbook.boards.commands import add_board, change_board, describe_rework, record_board_event
from logbook.boards.queries import board_of, rework_of, reworks_of
from logbook.projects.commands.options import position_named
from logbook.projects.queries import option_named, options_of
from logbook.web.access import actor_of, project_page, signed_in
from logbook.web.forms.boards import (
    BoardEventForm,
    BoardForm,
    OptionSettingForm,
    ReworkChangeForm,
    ReworkForm,
    ReworkUndoForm,
    paths_as_text,
)
from logbook.web.forms.design import position_in
from logbook.web.forms.fields import sent
from logbook.web.views.structure.form_page import FormPage, Saved, answer_form

FORM = require_http_methods(["GET", "HEAD", "POST"])


@signed_in
@FORM
def board_create(request: HttpRequest, slug: str) -> HttpResponse:
    """Add a board."""
    frame = project_page(request, slug, may="edit")
    form = BoardForm(sent(request), project=frame.project, is_new=True)

    def save(given: dict[str, Any]) -> Saved:
        board = add_board(actor=actor_of(request), project=frame.project, **given)
        return Saved(f"Board {board} is there.", reverse("board-detail", args=[slug, board.serial]))

    back = reverse("project-detail", args=[slug])
    lead = "One physical, serialised item built to a revision."
    return answer_form(request, FormPage(frame, form, "New board", lead, "Add it", back), save)


@signed_in
@FORM
def board_edit(request: HttpRequest, slug: str, serial: str) -> HttpResponse:
    """Change what is said of a board. Its state and place are recorded as events instead."""
    frame = project_page(request, slug, may="edit")
    board = board_of(frame.project, serial)
    initial = {"last_powered": board.last_powered, "note": board.note}
    form = BoardForm(sent(request), initial=initial, project=frame.project, is_new=False)
    back = reverse("board-detail", args=[slug, serial])

    def save(given: dict[str, Any]) -> Saved:
        change_board(actor=actor_of(request), board=board, values=given)
        return Saved(f"Board {board} is changed.", back)

    return answer_form(request, FormPage(frame, form, f"Change board {board}", "", "Save", back), save)


@signed_in
@FORM
def board_event_create(request: HttpRequest, slug: str, serial: str) -> HttpResponse:
    """Record a state or place a board came to."""
    frame = project_page(request, slug, may="record")
    board = board_of(frame.project, serial)
    initial = {"state": board.state, "location": board.location}
    form = BoardEventForm(sent(request), initial=initial)
    back = reverse("board-detail", args=[slug, serial])

    def save(given: dict[str, Any]) -> Saved:
        event = record_board_event(actor=actor_of(request), board=board, **given)
        return Saved(f"Board {board} is {event.state}.", back)

    title = f"Board {board}: state and place"
    return answer_form(request, FormPage(frame, form, title, "", "Record it", back), save)


@signed_in
@FORM
def rework_create(request: HttpRequest, slug: str, serial: str) -> HttpResponse:
    """Record something done to a board by hand."""
    frame = project_page(request, slug, may="record")
    board = board_of(frame.project, serial)
    initial = {"key": f"RW-{reworks_of(board).count() + 1:02}"}
    form = ReworkForm(sent(request), initial=initial, project=frame.project)
    back = reverse("board-detail", args=[slug, serial])

    def save(given: dict[str, Any]) -> Saved:
        rework = record_rework(actor=actor_of(request), board=board, **given)
        says = f"Rework {rework} is recorded. Its re-check is open."
        return Saved(says, reverse("rework-detail", args=[slug, serial, rework.key]))

    lead = "From then on, readings of the subsystems it touches are told apart from readings as designed."
    shown = FormPage(frame, form, f"Rework of board {board}", lead, "Record it", back, caution="F")
    return answer_form(request, shown, save)


@signed_in
@FORM
def rework_edit(request: HttpRequest, slug: str, serial: str, key: str) -> HttpResponse:
    """Change what is said of a rework."""
    frame = project_page(request, slug, may="edit")
    rework = rework_of(board_of(frame.project, serial), key)
    initial = {name: getattr(rework, name) for name in ("kind", "what", "reason", "reversible")}
    initial["paths"] = paths_as_text(rework)
    form = ReworkChangeForm(sent(request), initial=initial, project=frame.project)
    back = reverse("rework-detail", args=[slug, serial, key])

    def save(given: dict[str, Any]) -> Saved:
        paths = given.pop("paths")
        describe_rework(actor=actor_of(request), rework=rework, values=given, paths=paths)
        return Saved(f"Rework {rework} is changed.", back)

    lead = "Old and new stay on record. Intent, subsystems and times stay: undo it and record another."
    title = f"Change {rework} of board {serial}"
    return answer_form(request, FormPage(frame, form, title, lead, "Save", back), save)


@signed_in
@FORM
def rework_undo(request: HttpRequest, slug: str, serial: str, key: str) -> HttpResponse:
    """Record that a rework was undone."""
    frame = project_page(request, slug, may="record")
    board = board_of(frame.project, serial)
    rework = rework_of(board, key)
    form = ReworkUndoForm(sent(request))
    back = reverse("board-detail", args=[slug, serial])

    def save(given: dict[str, Any]) -> Saved:
        undo_rework(actor=actor_of(request), rework=rework, **given)
        return Saved(f"Rework {rework} is undone. Its readings keep it.", back)

    title = f"Undo {rework} on board {board}"
    shown = FormPage(frame, form, title, rework.what, "Record that it is undone", back, caution="F")
    return answer_form(request, shown, save)


@signed_in
@FORM
def option_setting_create(request: HttpRequest, slug: str, serial: str) -> HttpResponse:
    """Record the position an option was found in."""
    frame = project_page(request, slug, may="record")
    board = board_of(frame.project, serial)
    form = OptionSettingForm(sent(request), options=list(options_of(frame.project)))
    back = reverse("board-detail", args=[slug, serial])

    def save(given: dict[str, Any]) -> Saved:
        key, choice = given["setting"]
        option = option_named(frame.project, key, field="setting")
        position = position_named(option, position_in(choice), field="setting")
        setting = record_option_setting(
            actor=actor_of(request),
            board=board,
            option=option,
            position=position,
            note=given["note"],
            in_force_from=given["in_force_from"],
        )
        return Saved(f"{setting} on board {board}.", back)

    lead = "As it is on this board, whatever the drawing says. It holds until the next setting."
    shown = FormPage(frame, form, f"Options of board {board}", lead, "Record it", back)
    return answer_form(request, shown, save)
