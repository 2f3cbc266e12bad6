"""``/projects/{slug}/revisions/`` and the designed positions of options on a revision."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Shape, Text, checked
from api.views import LogbookView
from logbook.bench.commands import set_position_by_design
from logbook.projects.commands import add_revision, change_revision
from logbook.projects.commands.options import position_named
from logbook.projects.queries import (
    designed_positions_of,
    option_named,
    revision_named,
    revision_of,
    revisions_of,
)


class RevisionChange(Shape):
    """Descriptive fields of a revision, and how a board of it is powered."""

    summary = Text()
    drawn_on = serializers.DateField(required=False, allow_null=True)
    ordered_on = serializers.DateField(required=False, allow_null=True)
    power_input = Text()
    polarity = Text()
    current_limit = Text()
    idle_current = Text()
    never_connect = Text()


class RevisionNew(RevisionChange):
    """A new revision."""

    label = Name()  # type: ignore[assignment]
    parent = Text(allow_null=True)  # type: ignore[assignment]


class RevisionShown(serializers.Serializer[Any]):
    """A revision."""

    label = serializers.CharField()  # type: ignore[assignment]
    parent = serializers.CharField(source="parent.label", default=None, allow_null=True)  # type: ignore[assignment]
    summary = serializers.CharField()
    drawn_on = serializers.DateField(allow_null=True)
    ordered_on = serializers.DateField(allow_null=True)
    power_input = serializers.CharField()
    polarity = serializers.CharField()
    current_limit = serializers.CharField()
    idle_current = serializers.CharField()
    never_connect = serializers.CharField()


class DesignedPositionNew(Shape):
    """The position an option has by design; null where it is not fitted."""

    option = Name()
    position = Text(required=True, allow_null=True)


class DesignedPositionShown(serializers.Serializer[Any]):
    """The position an option has by design; null where it is not fitted."""

    option = serializers.CharField(source="option.key")
    position = serializers.CharField(source="position.name", default=None, allow_null=True)


class RevisionList(LogbookView):
    """The revisions of a project."""

    @described("revisions_list", paged(RevisionShown), parameters=PAGED)
    def get(self, request: Request, slug: str) -> Response:
        """Return the revisions by label."""
        refuse_unknown_parameters(request, PAGED)
        rows = revisions_of(self.project(slug))
        return Response(page_of(rows, request, key="label").shown(lambda row: RevisionShown(row).data))

    @described("revisions_create", RevisionShown, sends=RevisionNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Add a revision; ``parent`` is the label of the one it descends from."""
        project = self.project(slug)
        given = checked(RevisionNew, request.data)
        label, parent = given.pop("label"), given.pop("parent", None)
        revision = add_revision(
            actor=self.actor,
            project=project,
            label=label,
            parent=revision_named(project, parent, field="parent") if parent else None,
            values=given,
        )
        return Response(RevisionShown(revision).data, status=201)


class RevisionDetail(LogbookView):
    """One revision."""

    @described("revisions_read", RevisionShown)
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return the revision."""
        return Response(RevisionShown(revision_of(self.project(slug), label)).data)

    @described("revisions_change", RevisionShown, sends=RevisionChange)
    def patch(self, request: Request, slug: str, label: str) -> Response:
        """Change descriptive fields; label and parent stay."""
        revision = revision_of(self.project(slug), label)
        given = checked(RevisionChange, request.data, partial=True)
        change_revision(actor=self.actor, revision=revision, values=given)
        return Response(RevisionShown(revision).data)


class DesignedPositionList(LogbookView):
    """Where the options stand by design on a revision."""

    @described("designed_positions_list", paged(DesignedPositionShown))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return one row an option that has a designed position; they come in one answer."""
        rows = designed_positions_of(revision_of(self.project(slug), label))
        return Response({"results": DesignedPositionShown(rows, many=True).data, "next_after": None})

    @described("designed_positions_set", DesignedPositionShown, sends=DesignedPositionNew)
    def post(self, request: Request, slug: str, label: str) -> Response:
        """Set the position one option has by design, new or changed."""
        return self._set(request, slug, label)

    @described("designed_positions_replace", DesignedPositionShown, sends=DesignedPositionNew)
    def put(self, request: Request, slug: str, label: str) -> Response:
        """Set the position one option has by design, new or changed."""
        return self._set(request, slug, label)

    def _set(self, request: Request, slug: str, label: str) -> Response:
        project = self.project(slug)
        revision = revision_of(project, label)
        given = checked(DesignedPositionNew, request.data)
        option = option_named(project, given["option"])
        position = position_named(option, given["position"])
        designed = set_position_by_design(
            actor=self.actor, revision=revision, option=option, position=position
        )
        return Response(DesignedPositionShown(designed).data)
