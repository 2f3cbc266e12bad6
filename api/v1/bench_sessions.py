"""``/projects/{slug}/bench-sessions/``."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.permissions import RECORD
from api.schema import PAGED, described, paged
from api.shapes import Float, KeysOf, Moment, Name, Names, Shape, Text, checked
from api.views import LogbookView
from logbook.bench.commands import change_bench_session, open_bench_session
from logbook.bench.queries.lists import bench_session_of, bench_sessions_of, instruments_named
from logbook.boards.queries import board_named
from logbook.common.errors import InvalidInputError
from logbook.projects.models import Project
from logbook.projects.queries import members_of


class SessionChange(Shape):
    """What can be changed: also the end of the session."""

    title = Name()
    boards = Names()
    instruments = Names()
    place = Text()
    ambient_c = Float(allow_null=True)
    supply = Text()
    firmware = Text()
    note = Text()
    next_step = Text()
    ended_at = Moment(allow_null=True)


class SessionNew(SessionChange):
    """A new bench session; who opens it takes part in it."""

    started_at = Moment()
    people = Names()


class SessionShown(serializers.Serializer[Any]):
    """A sitting at the bench."""

    id = serializers.IntegerField()
    title = serializers.CharField()
    started_at = serializers.DateTimeField()
    ended_at = serializers.DateTimeField(allow_null=True)
    people = KeysOf("username")
    boards = KeysOf("serial")
    instruments = KeysOf("name")
    place = serializers.CharField()
    ambient_c = serializers.FloatField(allow_null=True)
    supply = serializers.CharField()
    firmware = serializers.CharField()
    note = serializers.CharField()
    next_step = serializers.CharField()


def _named(project: Project, given: dict[str, Any]) -> dict[str, Any]:
    """Take the names out of ``given`` and return what they name."""
    found: dict[str, Any] = {}
    if "boards" in given:
        serials = dict.fromkeys(given.pop("boards"))
        found["boards"] = [board_named(project, serial, field="boards") for serial in serials]
    if "instruments" in given:
        found["instruments"] = instruments_named(list(dict.fromkeys(given.pop("instruments"))))
    if "people" in given:
        members = {one.user.username: one.user for one in members_of(project)}
        names = given.pop("people")
        stranger = next((name for name in names if name not in members), None)
        if stranger is not None:
            raise InvalidInputError.of(
                "people", f"{stranger!r} is no member here", given=stranger, allowed=", ".join(members)
            )
        found["people"] = [members[name] for name in names]
    return found


class SessionList(LogbookView):
    """The bench sessions of a project."""

    scopes: ClassVar = {"POST": RECORD}

    @described("bench_sessions_list", paged(SessionShown), parameters=PAGED)
    def get(self, request: Request, slug: str) -> Response:
        """Return the sessions in the order they were opened."""
        refuse_unknown_parameters(request, PAGED)
        rows = bench_sessions_of(self.project(slug))
        return Response(page_of(rows, request, key="id").shown(lambda row: SessionShown(row).data))

    @described("bench_sessions_create", SessionShown, sends=SessionNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Open a session."""
        project = self.project(slug, may="record")
        given = checked(SessionNew, request.data)
        named = _named(project, given)
        title, started_at = given.pop("title"), given.pop("started_at", None)
        session = open_bench_session(
            actor=self.actor, project=project, title=title, started_at=started_at, values=given, **named
        )
        return Response(SessionShown(session).data, status=201)


class SessionDetail(LogbookView):
    """One bench session."""

    scopes: ClassVar = {"PATCH": RECORD}

    @described("bench_sessions_read", SessionShown)
    def get(self, request: Request, slug: str, number: int) -> Response:
        """Return the session."""
        return Response(SessionShown(bench_session_of(self.project(slug), number)).data)

    @described("bench_sessions_change", SessionShown, sends=SessionChange)
    def patch(self, request: Request, slug: str, number: int) -> Response:
        """Change its notes, what is on the bench, the next step, or its end."""
        project = self.project(slug, may="record")
        session = bench_session_of(project, number)
        given = checked(SessionChange, request.data, partial=True)
        named = _named(project, given)
        change_bench_session(actor=self.actor, session=session, values=given, **named)
        return Response(SessionShown(bench_session_of(project, number)).data)
