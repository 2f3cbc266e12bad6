"""``…/bring-up-plan/``: what to do on the first board of a revision, stage by stage."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import refuse_unknown_parameters
from api.parameters import day_asked
from api.schema import described
from api.v1.changes import OfRevision
from logbook.planning.queries.bring_up import bring_up_plan_of


class BringUpLineShown(serializers.Serializer[Any]):
    """One target, for one board with all its points."""

    target = serializers.CharField(source="target.key")
    subsystem = serializers.CharField(source="target.subsystem.key")
    state = serializers.CharField()
    reason = serializers.CharField()
    cause = serializers.CharField(help_text="open, always on a new board, or what needs it first.")
    always = serializers.BooleanField()
    changed_by = serializers.ListField(child=serializers.CharField())
    minutes = serializers.IntegerField()
    waiting_minutes = serializers.IntegerField()
    not_yet = serializers.CharField(
        help_text="What must be there before the only board is stressed; empty where nothing is missing."
    )


class BringUpStageShown(serializers.Serializer[Any]):
    """Targets that belong together."""

    name = serializers.CharField()
    minutes = serializers.IntegerField()
    waiting_minutes = serializers.IntegerField()
    cautions = serializers.CharField(help_text="Letters of the cautions of its targets.")
    checks = BringUpLineShown(many=True, source="lines")


class BringUpPlanShown(serializers.Serializer[Any]):
    """The stages in the order to do them."""

    revision = serializers.CharField(source="revision.label")
    as_of = serializers.DateField(allow_null=True)
    entered_later = serializers.IntegerField(help_text="Entries dated up to that day, entered after it.")
    minutes = serializers.IntegerField()
    waiting_minutes = serializers.IntegerField()
    stages = BringUpStageShown(many=True)


class BringUpPlanView(OfRevision):
    """Bring-up plan of a revision."""

    @described("bring_up_plan", BringUpPlanShown, parameters=("as_of",))
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return what to do on its first board: what is open, always read again, or needed first."""
        refuse_unknown_parameters(request, ("as_of",))
        plan = bring_up_plan_of(self.revision(slug, label), as_of=day_asked(request))
        return Response(BringUpPlanShown(plan).data)
