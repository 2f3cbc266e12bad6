"""``/projects/{slug}/designator-rules/``: which designators belong to which subsystem."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import page_of, refuse_unknown_parameters
from api.schema import PAGED, described, paged
from api.shapes import Name, Shape, checked
from api.views import LogbookView
from logbook.projects.commands.bills import add_designator_rule, remove_designator_rule
from logbook.projects.queries import subsystem_named
from logbook.projects.queries.bills import designator_rule_of, designator_rules_of


class DesignatorRuleNew(Shape):
    """``R12`` means one designator, ``U1-U4`` a range, ``L*`` a whole class; the firmest term wins."""

    subsystem = Name()
    rule = Name(max_length=500)


class DesignatorRuleShown(serializers.Serializer[Any]):
    """Which designators belong to a subsystem."""

    id = serializers.IntegerField()
    subsystem = serializers.CharField(source="subsystem.key")
    rule = serializers.CharField()


class DesignatorRuleList(LogbookView):
    """Which designators belong to which subsystem."""

    @described("designator_rules_list", paged(DesignatorRuleShown), parameters=PAGED)
    def get(self, request: Request, slug: str) -> Response:
        """Return the rules in the order they were added."""
        refuse_unknown_parameters(request, PAGED)
        rows = designator_rules_of(self.project(slug))
        return Response(page_of(rows, request, key="id").shown(lambda row: DesignatorRuleShown(row).data))

    @described("designator_rules_create", DesignatorRuleShown, sends=DesignatorRuleNew, status=201)
    def post(self, request: Request, slug: str) -> Response:
        """Add a rule; equally firm terms may not mean the same designators."""
        project = self.project(slug)
        given = checked(DesignatorRuleNew, request.data)
        subsystem = subsystem_named(project, given["subsystem"])
        rule = add_designator_rule(actor=self.actor, project=project, subsystem=subsystem, rule=given["rule"])
        return Response(DesignatorRuleShown(rule).data, status=201)


class DesignatorRuleRemove(LogbookView):
    """Removing a rule."""

    @described("designator_rules_remove", None, status=204)
    def post(self, request: Request, slug: str, number: int) -> Response:
        """Remove the rule; recorded changes keep the subsystems they name."""
        remove_designator_rule(actor=self.actor, rule=designator_rule_of(self.project(slug), number))
        return Response(status=204)
