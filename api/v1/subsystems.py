"""``/projects/{slug}/subsystems/``."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Names, Shape, Text, Whole, Word, checked
from api.views import LogbookView
from logbook.projects.choices import SubsystemKind
from logbook.projects.commands import add_subsystem, change_subsystem
from logbook.projects.models import Project, Subsystem
from logbook.projects.queries import subsystem_of, subsystems_of


class SubsystemFields(Shape):
    """Descriptive fields of a subsystem."""

    name = Name()
    kind = Word(SubsystemKind.choices, required=True)
    purpose = Text()
    depends_on = Names()


class SubsystemNew(SubsystemFields):
    """A new subsystem."""

    key = Name()


class SubsystemChange(SubsystemFields):
    """What can be changed; the key stays."""

    position = Whole()


class SubsystemShown(serializers.Serializer[Any]):
    """A subsystem and the keys of those it depends on."""

    key = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(SubsystemKind.choices)
    purpose = serializers.CharField()
    position = serializers.IntegerField()
    depends_on = serializers.ListField(child=serializers.CharField())


def shown(subsystem: Subsystem) -> dict[str, Any]:
    """Return a subsystem."""
    return {
        **{name: getattr(subsystem, name) for name in ("key", "name", "kind", "purpose", "position")},
        "depends_on": sorted(one.depends_on.key for one in subsystem.dependencies.all()),
    }


def _shown_again(project: Project, key: str) -> dict[str, Any]:
    return shown(subsystem_of(project, key))


class SubsystemList(LogbookView):
    """The subsystems of a project."""

    @described("subsystems_list", paged(SubsystemShown), parameters=PAGED)
    def get(self, request: Request, slug: str) -> Response:
        """Return the subsystems by key."""
        refuse_unknown_parameters(request, PAGED)
        rows = subsystems_of(self.project(slug))
        return Response(page_of(rows, request, key="key").shown(shown))

    @described("subsystems_create", SubsystemShown, sends=SubsystemNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Add a subsystem."""
        project = self.project(slug)
        added = add_subsystem(actor=self.actor, project=project, **checked(SubsystemNew, request.data))
        return Response(_shown_again(project, added.key), status=201)


class SubsystemDetail(LogbookView):
    """One subsystem."""

    @described("subsystems_read", SubsystemShown)
    def get(self, request: Request, slug: str, key: str) -> Response:
        """Return the subsystem."""
        return Response(_shown_again(self.project(slug), key))

    @described("subsystems_change", SubsystemShown, sends=SubsystemChange)
    def patch(self, request: Request, slug: str, key: str) -> Response:
        """Change descriptive fields; ``depends_on`` replaces the whole set."""
        project = self.project(slug)
        subsystem = subsystem_of(project, key)
        given = checked(SubsystemChange, request.data, partial=True)
        depends_on = given.pop("depends_on", None)
        change_subsystem(actor=self.actor, subsystem=subsystem, values=given, depends_on=depends_on)
        return Response(_shown_again(project, key))
