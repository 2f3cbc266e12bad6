"""``/projects/{slug}/connectors/``, and what is on each connector of one board."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Shape, Text, Word, checked, moment_of
from api.views import LogbookView
from logbook.boards.queries import ConnectorTruth, board_of, connector_truths
from logbook.common.errors import InvalidInputError
from logbook.projects.choices import CableKind, PinDirection
from logbook.projects.commands import PinInput, add_connector, change_connector, set_pins
from logbook.projects.commands.options import position_named
from logbook.projects.queries import (
    connector_of,
    connectors_of,
    option_named,
    pins_of,
    revision_named,
    subsystem_named,
)


class ConnectorChange(Shape):
    """What is said of a connector."""

    name = Name()
    subsystem = Name()
    place = Text()
    physical = Text(help_text="The part as one sees it, such as 8-pin circular, female.")
    pin_1 = Text(help_text="How pin 1 is marked.")
    mates_with = Text(help_text="The mating part or cable.")
    cable = Word(CableKind.choices, allow_blank=True)
    caution = Text(help_text="Where the look misleads.")


class ConnectorNew(ConnectorChange):
    """A new connector."""

    key = Name()


class ConnectorShown(serializers.Serializer[Any]):
    """A connector as one sees it."""

    key = serializers.CharField()
    name = serializers.CharField()
    subsystem = serializers.CharField(source="subsystem.key")
    place = serializers.CharField()
    physical = serializers.CharField()
    pin_1 = serializers.CharField()
    mates_with = serializers.CharField()
    cable = serializers.CharField(help_text="straight, crossed, or empty where nobody said.")
    caution = serializers.CharField()


class PinFields(Shape):
    """What one pin carries; ``direction`` is seen from the board."""

    number = Name()
    name = Name()
    direction = Word(PinDirection.choices, required=True)
    level = Text()
    standard = Text()


class PinsNew(Shape):
    """The whole table of a revision: always, or while ``option`` is at ``position``."""

    revision = Name()
    option = Name(required=False)
    position = Name(required=False)
    pins = PinFields(many=True)


class PinShown(serializers.Serializer[Any]):
    """What one pin carries."""

    number = serializers.CharField()
    name = serializers.CharField()
    direction = serializers.ChoiceField(PinDirection.choices)
    level = serializers.CharField()
    standard = serializers.CharField()


class PinOfTableShown(PinShown):
    """A pin of the tables in force: of which revision, and while which option is where."""

    revision = serializers.CharField(source="revision.label")
    option = serializers.CharField(source="position.option.key", default=None, allow_null=True)
    position = serializers.CharField(source="position.name", default=None, allow_null=True)


class PinsShown(serializers.Serializer[Any]):
    """Every table of pins in force."""

    connector = serializers.CharField()
    pins = PinOfTableShown(many=True)


class PinOfBoardShown(PinShown):
    """What a pin carries on one board."""

    because = serializers.CharField(help_text="The option that decides it; empty where none does.")
    is_as_designed = serializers.BooleanField()


class ConnectorOfBoardShown(serializers.Serializer[Any]):
    """What is on one connector of a board, and why."""

    connector = serializers.CharField()
    name = serializers.CharField()
    is_as_designed = serializers.BooleanField(
        help_text="True where every option that decides a pin was seen at its designed position."
    )
    pins = PinOfBoardShown(many=True)
    options = serializers.ListField(child=serializers.CharField())
    reworks = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())


class ConnectorsOfBoardShown(serializers.Serializer[Any]):
    """What is on each connector of a board."""

    board = serializers.CharField()
    at = serializers.DateTimeField(allow_null=True)
    connectors = ConnectorOfBoardShown(many=True)


class ConnectorList(LogbookView):
    """The connectors of a project."""

    @described("connectors_list", paged(ConnectorShown), parameters=PAGED)
    def get(self, request: Request, slug: str) -> Response:
        """Return the connectors by key."""
        refuse_unknown_parameters(request, PAGED)
        rows = connectors_of(self.project(slug))
        return Response(page_of(rows, request, key="key").shown(lambda row: ConnectorShown(row).data))

    @described("connectors_create", ConnectorShown, sends=ConnectorNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Add a connector."""
        project = self.project(slug)
        given = checked(ConnectorNew, request.data)
        connector = add_connector(
            actor=self.actor,
            project=project,
            subsystem=subsystem_named(project, given.pop("subsystem")),
            key=given.pop("key"),
            name=given.pop("name"),
            values=given,
        )
        return Response(ConnectorShown(connector).data, status=201)


class ConnectorDetail(LogbookView):
    """One connector."""

    @described("connectors_read", ConnectorShown)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return the connector."""
        return Response(ConnectorShown(connector_of(self.project(slug), key)).data)

    @described("connectors_change", ConnectorShown, sends=ConnectorChange)
    def patch(self, request: Request, slug: str, key: str) -> Response:
        """Change what is said of it; its key stays."""
        project = self.project(slug)
        connector = connector_of(project, key)
        given = checked(ConnectorChange, request.data, partial=True)
        if "subsystem" in given:
            given["subsystem"] = subsystem_named(project, given["subsystem"])
        return Response(
            ConnectorShown(change_connector(actor=self.actor, connector=connector, values=given)).data
        )


class ConnectorPins(LogbookView):
    """The tables of pins of one connector."""

    @described("connector_pins_read", PinsShown)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return the tables in force, of every revision that has one of its own."""
        connector = connector_of(self.project(slug), key)
        pins = PinOfTableShown(pins_of([connector]), many=True).data
        return Response({"connector": connector.key, "pins": pins})

    @described("connector_pins_replace", PinsShown, sends=PinsNew)
    def put(self, request: Request, slug: str, key: str) -> Response:
        """Give a revision a table in place of the one it has; an empty list takes it out of force."""
        project = self.project(slug)
        connector = connector_of(project, key)
        given = checked(PinsNew, request.data)
        if ("option" in given) != ("position" in given):
            missing = "position" if "option" in given else "option"
            raise InvalidInputError.of(missing, "name option and position together, or neither")
        position = None
        if "option" in given:
            option = option_named(project, given["option"])
            position = position_named(option, given["position"])
        set_pins(
            actor=self.actor,
            connector=connector,
            revision=revision_named(project, given["revision"]),
            pins=[PinInput(**pin) for pin in given["pins"]],
            position=position,
        )
        return self.get(request, slug, key)


class ConnectorsOfBoard(LogbookView):
    """What is on each connector of one board."""

    @described("board_connectors_read", ConnectorsOfBoardShown, parameters=("at",))
    def get(self, request: Request, slug: str, serial: str) -> Response:
        """Return what each connector carries, now or at a moment, given options and reworks."""
        refuse_unknown_parameters(request, ("at",))
        project = self.project(slug)
        board = board_of(project, serial)
        at = None
        if "at" in request.query_params:
            text = request.query_params["at"]
            try:
                at = moment_of(text)
            except ValueError as error:
                raise InvalidInputError.of("at", str(error), given=text) from error
        truths = connector_truths([board], list(connectors_of(project)), at=at)
        return Response({"board": board.serial, "at": at, "connectors": [_truth(one) for one in truths]})


def _truth(found: ConnectorTruth) -> dict[str, Any]:
    return {
        "connector": found.connector.key,
        "name": found.connector.name,
        "is_as_designed": found.is_as_designed,
        "pins": [
            PinShown(one.pin).data | {"because": one.because, "is_as_designed": one.is_as_designed}
            for one in found.pins
        ],
        "options": [one.says for one in found.options],
        "reworks": list(found.reworks),
        "cautions": list(found.cautions),
    }
