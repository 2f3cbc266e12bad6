"""``/projects/{slug}/options/``."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Shape, Text, checked
from api.views import LogbookView
from logbook.projects.commands import add_option, change_option
from logbook.projects.queries import option_of, options_of, subsystem_named


class PositionFields(Shape):
    """A position an option can be in, and what it does."""

    name = Name()
    meaning = Text()


class OptionChange(Shape):
    """What can be changed; boards stand in the positions there are, so these stay."""

    name = Name()
    note = Text()


class OptionNew(OptionChange):
    """A new option with its positions."""

    key = Name()
    subsystem = Name()
    positions = PositionFields(many=True)


class PositionShown(serializers.Serializer[Any]):
    """A position an option can be in, and what it does."""

    name = serializers.CharField()
    meaning = serializers.CharField()


class OptionShown(serializers.Serializer[Any]):
    """An option with its positions."""

    key = serializers.CharField()
    name = serializers.CharField()
    subsystem = serializers.CharField(source="subsystem.key")
    note = serializers.CharField()
    positions = PositionShown(many=True)


class OptionList(LogbookView):
    """The options of a project."""

    @described("options_list", paged(OptionShown), parameters=PAGED)
    def get(self, request: Request, slug: str) -> Response:
        """Return the options by key."""
        refuse_unknown_parameters(request, PAGED)
        rows = options_of(self.project(slug))
        return Response(page_of(rows, request, key="key").shown(lambda row: OptionShown(row).data))

    @described("options_create", OptionShown, sends=OptionNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Add an option."""
        project = self.project(slug)
        given = checked(OptionNew, request.data)
        subsystem = subsystem_named(project, given.pop("subsystem"))
        positions = [(one["name"], one.get("meaning", "")) for one in given.pop("positions")]
        option = add_option(
            actor=self.actor, project=project, subsystem=subsystem, positions=positions, **given
        )
        return Response(OptionShown(option).data, status=201)


class OptionDetail(LogbookView):
    """One option."""

    @described("options_read", OptionShown)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return the option."""
        return Response(OptionShown(option_of(self.project(slug), key)).data)

    @described("options_change", OptionShown, sends=OptionChange)
    def patch(self, request: Request, slug: str, key: str) -> Response:
        """Change name or note."""
        option = option_of(self.project(slug), key)
        given = checked(OptionChange, request.data, partial=True)
        return Response(OptionShown(change_option(actor=self.actor, option=option, values=given)).data)
