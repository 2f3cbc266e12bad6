"""The plain way to take a list, only to measure against: a serializer and one bulk insert."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.views import LogbookView
from logbook.bench.models import Measurement, Target
from logbook.boards.models import Board
from logbook.common import clock
from logbook.projects.models import Project


class PlainReading(serializers.ModelSerializer[Measurement]):
    """One reading with the relations looked up by the framework, row by row."""

    project = serializers.SlugRelatedField("slug", queryset=Project.objects.all())
    board = serializers.SlugRelatedField("serial", queryset=Board.objects.filter(project__slug="large"))
    target = serializers.SlugRelatedField("key", queryset=Target.objects.filter(project__slug="large"))

    class Meta:
        model = Measurement
        fields = ["project", "board", "target", "value", "unit", "expanded_uncertainty", "taken_at", "key"]


class PlainList(LogbookView):
    """Reads, checks and stores a list; knows no current results, no units, no uncertainty."""

    scopes = {"POST": frozenset({"record"})}

    def post(self, request: Request) -> Response:
        """Store all or nothing."""
        given = PlainReading(data=request.data, many=True)
        given.is_valid(raise_exception=True)
        now = clock.now()
        rows = [
            Measurement(
                **one,
                issue=(issue := self._issues[one["target"].pk]),
                text=one["value"],
                value_base=float(one["value"]),
                outcome="number",
                recorded_at=now,
                recorded_by=self.person,
                via="api",
                verdict=_verdict(float(one["value"]), issue),
                reason="compared",
                content_digest="plain",
            )
            for one in given.validated_data
        ]
        stored = Measurement.objects.bulk_create(rows)
        return Response(PlainReading(stored, many=True).data, status=201)

    @property
    def _issues(self) -> dict[int, Any]:
        if not hasattr(self, "_known"):
            targets = Target.objects.prefetch_related("issues")
            self._known = {target.pk: target.issues.all()[0] for target in targets}
        return self._known


def _verdict(value: float, issue: Any) -> str:
    return "pass" if float(issue.low) <= value <= float(issue.high) else "fail"
