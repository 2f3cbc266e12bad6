"""``/projects/{slug}/reworks/``: what was done to single boards by hand."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.permissions import AT_THE_BENCH
from api.schema import PAGED, described, paged
from api.shapes import KeysOf, Moment, Name, Names, Shape, Text, Word, checked
from api.views import LogbookView
from logbook.bench.commands import record_rework, undo_rework
from logbook.boards.choices import ReworkIntent, ReworkKind
from logbook.boards.queries import board_named, rework_numbered, reworks_of_project
from logbook.projects.queries import subsystem_named


class ReworkNew(Shape):
    """A rework of one board, in force from now or from ``in_force_from``."""

    board = Name()
    key = Name()
    kind = Word(ReworkKind.choices, required=True)
    intent = Word(ReworkIntent.choices, required=True)
    what = Name()
    reason = Text()
    subsystems = Names(required=True)
    in_force_from = Moment()
    reversible = serializers.BooleanField(required=False)


class ReworkUndone(Shape):
    """When a rework was undone, and a note."""

    at = Moment()
    note = Text()


class ReworkShown(serializers.Serializer[Any]):
    """A rework of one board."""

    id = serializers.IntegerField()
    board = serializers.CharField(source="board.serial")
    key = serializers.CharField()
    kind = serializers.ChoiceField(ReworkKind.choices)
    intent = serializers.ChoiceField(ReworkIntent.choices)
    what = serializers.CharField()
    reason = serializers.CharField()
    subsystems = KeysOf("key")
    in_force_from = serializers.DateTimeField()
    in_force_until = serializers.DateTimeField(allow_null=True)
    reversible = serializers.BooleanField()
    recorded_at = serializers.DateTimeField()
    recorded_by = serializers.CharField(source="recorded_by.username", default=None, allow_null=True)


class ReworkList(LogbookView):
    """The reworks of a project's boards."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("reworks_list", paged(ReworkShown), parameters=(*PAGED, "board"))
    def get(self, request: Request, slug: str) -> Response:
        """Return the reworks in the order they were recorded."""
        refuse_unknown_parameters(request, (*PAGED, "board"))
        project = self.project(slug)
        rows = reworks_of_project(project)
        if "board" in request.query_params:
            rows = rows.filter(board=board_named(project, request.query_params["board"]))
        return Response(page_of(rows, request, key="id").shown(lambda row: ReworkShown(row).data))

    @described("reworks_create", ReworkShown, sends=ReworkNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Record a rework."""
        project = self.project(slug, may="record")
        given = checked(ReworkNew, request.data)
        board = board_named(project, given.pop("board"))
        keys = dict.fromkeys(given.pop("subsystems"))
        subsystems = [subsystem_named(project, key, field="subsystems") for key in keys]
        rework = record_rework(actor=self.actor, board=board, subsystems=subsystems, **given)
        return Response(ReworkShown(rework).data, status=201)


class ReworkDetail(LogbookView):
    """One rework."""

    @described("reworks_read", ReworkShown)
    def get(self, request: Request, slug: str, number: int) -> Response:
        """Return the rework."""
        return Response(ReworkShown(rework_numbered(self.project(slug), number)).data)


class ReworkUndo(LogbookView):
    """Undoing a rework."""

    scopes: ClassVar = {"POST": AT_THE_BENCH}

    @described("reworks_undo", ReworkShown, sends=ReworkUndone)
    def post(self, request: Request, slug: str, number: int) -> Response:
        """Record that the rework was undone; readings taken under it keep it."""
        rework = rework_numbered(self.project(slug, may="record"), number)
        undo_rework(actor=self.actor, rework=rework, **checked(ReworkUndone, request.data))
        return Response(ReworkShown(rework).data)
