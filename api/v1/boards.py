"""``/projects/{slug}/boards/``: boards, what happened to them, and how their options were found."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.permissions import AT_THE_BENCH
from api.schema import PAGED, described, paged
from api.shapes import Moment, Name, Shape, Text, Word, checked
from api.views import LogbookView
from logbook.bench.commands import record_option_setting
from logbook.boards.choices import BoardState
from logbook.boards.commands import add_board, change_board, record_board_event
from logbook.boards.queries import board_of, boards_of, events_of, option_settings_of
from logbook.projects.commands.options import position_named
from logbook.projects.queries import option_named, revision_named


class BoardChange(Shape):
    """Descriptive fields of a board; a new state or place is kept as an event."""

    state = Word(BoardState.choices)
    location = Text()
    last_powered = Text()
    note = Text()


class BoardNew(BoardChange):
    """A new board."""

    serial = Name()
    revision = Name()
    at = Moment()


class BoardShown(serializers.Serializer[Any]):
    """A board."""

    serial = serializers.CharField()
    revision = serializers.CharField(source="revision.label")
    state = serializers.ChoiceField(BoardState.choices)
    location = serializers.CharField()
    last_powered = serializers.CharField()
    note = serializers.CharField()


class BoardEventNew(Shape):
    """A board came into a state or to a place."""

    state = Word(BoardState.choices, required=True)
    location = Text()
    at = Moment()
    note = Text()


class BoardEventShown(serializers.Serializer[Any]):
    """A board came into a state or to a place."""

    id = serializers.IntegerField()
    state = serializers.ChoiceField(BoardState.choices)
    location = serializers.CharField()
    at = serializers.DateTimeField()
    note = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)


class OptionSettingNew(Shape):
    """The position an option was found in on a board; null where it is not fitted."""

    option = Name()
    position = Text(required=True, allow_null=True)
    in_force_from = Moment()
    note = Text()


class OptionSettingShown(serializers.Serializer[Any]):
    """The position an option was found in, from one moment until the next setting."""

    id = serializers.IntegerField()
    option = serializers.CharField(source="option.key")
    position = serializers.CharField(source="position.name", default=None, allow_null=True)
    in_force_from = serializers.DateTimeField()
    in_force_until = serializers.DateTimeField(allow_null=True)
    note = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)


class BoardList(LogbookView):
    """The boards of a project."""

    @described("boards_list", paged(BoardShown), parameters=(*PAGED, "revision", "state"))
    def get(self, request: Request, slug: str) -> Response:
        """Return the boards by serial."""
        refuse_unknown_parameters(request, (*PAGED, "revision", "state"))
        rows = boards_of(self.project(slug))
        if "revision" in request.query_params:
            rows = rows.filter(revision__label=request.query_params["revision"])
        if "state" in request.query_params:
            rows = rows.filter(state=request.query_params["state"])
        return Response(page_of(rows, request, key="serial").shown(lambda row: BoardShown(row).data))

    @described("boards_create", BoardShown, sends=BoardNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Add a board built to a revision."""
        project = self.project(slug)
        given = checked(BoardNew, request.data)
        revision = revision_named(project, given.pop("revision"))
        board = add_board(actor=self.actor, project=project, revision=revision, **given)
        return Response(BoardShown(board).data, status=201)


class BoardDetail(LogbookView):
    """One board."""

    @described("boards_read", BoardShown)
    def get(self, request: Request, slug: str, serial: str) -> Response:
        """Return the board."""
        return Response(BoardShown(board_of(self.project(slug), serial)).data)

    @described("boards_change", BoardShown, sends=BoardChange)
    def patch(self, request: Request, slug: str, serial: str) -> Response:
        """Change descriptive fields; serial and revision stay."""
        board = board_of(self.project(slug), serial)
        given = checked(BoardChange, request.data, partial=True)
        return Response(BoardShown(change_board(actor=self.actor, board=board, values=given)).data)


class BoardEventList(LogbookView):
    """What happened to a board."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("board_events_list", paged(BoardEventShown), parameters=PAGED)
    def get(self, request: Request, slug: str, serial: str) -> Response:
        """Return its states and places in the order they were recorded."""
        refuse_unknown_parameters(request, PAGED)
        rows = events_of(board_of(self.project(slug), serial))
        return Response(page_of(rows, request, key="id").shown(lambda row: BoardEventShown(row).data))

    @described("board_events_create", BoardEventShown, sends=BoardEventNew, status=201)
    def post(self, request: Request, slug: str, serial: str) -> Response:
        """Record that the board came into a state or to a place."""
        board = board_of(self.project(slug, may="record"), serial)
        event = record_board_event(actor=self.actor, board=board, **checked(BoardEventNew, request.data))
        return Response(BoardEventShown(event).data, status=201)


class OptionSettingList(LogbookView):
    """How the options of a board were found."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("option_settings_list", paged(OptionSettingShown), parameters=PAGED)
    def get(self, request: Request, slug: str, serial: str) -> Response:
        """Return the settings in the order they were recorded."""
        refuse_unknown_parameters(request, PAGED)
        rows = option_settings_of(board_of(self.project(slug), serial))
        return Response(page_of(rows, request, key="id").shown(lambda row: OptionSettingShown(row).data))

    @described("option_settings_create", OptionSettingShown, sends=OptionSettingNew, status=201)
    def post(self, request: Request, slug: str, serial: str) -> Response:
        """Record the position an option was found in."""
        project = self.project(slug, may="record")
        board = board_of(project, serial)
        given = checked(OptionSettingNew, request.data)
        option = option_named(project, given.pop("option"))
        position = position_named(option, given.pop("position"))
        setting = record_option_setting(
            actor=self.actor, board=board, option=option, position=position, **given
        )
        return Response(OptionSettingShown(setting).data, status=201)
