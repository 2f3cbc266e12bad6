"""``…/readiness/``: whether a revision is ready to order, and exactly what is missing."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import refuse_unknown_parameters
from api.parameters import day_asked
from api.schema import described
from api.unchanged import NOT_MODIFIED, kept_while_unchanged
from api.v1.changes import OfRevision
from logbook.planning.queries import Missing, readiness_of


class MissingShown(serializers.Serializer[Any]):
    """One thing that is missing. It names its subject: one of the five words is there."""

    what = serializers.CharField()
    reason = serializers.CharField()
    ground = serializers.CharField(help_text="not decided, acceptance lapsed, lesson not answered, …")
    settled_by = serializers.CharField()
    target = serializers.CharField(required=False)
    finding = serializers.CharField(required=False)
    lesson = serializers.CharField(required=False)
    option = serializers.CharField(required=False)
    rework = serializers.CharField(required=False, help_text="Key and board, such as RW-05 of 0004.")


class ReadinessShown(serializers.Serializer[Any]):
    """Whether the revision is ready to order; what is missing in the order of the open-risk list."""

    project = serializers.CharField()
    revision = serializers.CharField()
    as_of = serializers.DateField(allow_null=True)
    entered_later = serializers.IntegerField(help_text="Entries dated up to that day, entered after it.")
    ready = serializers.BooleanField()
    missing = MissingShown(many=True)
    also_open = serializers.IntegerField(help_text="Undecided risks below Serious, which are not in the way.")


class ReadinessView(OfRevision):
    """Readiness of a revision."""

    @described("readiness", ReadinessShown, parameters=("as_of",), also=NOT_MODIFIED)
    @kept_while_unchanged
    def get(self, request: Request, slug: str, label: str) -> Response:
        """Return what is missing before it may be ordered, today or at the end of a day."""
        refuse_unknown_parameters(request, ("as_of",))
        revision = self.revision(slug, label)
        found = readiness_of(revision, as_of=day_asked(request))
        return Response(
            {
                "project": slug,
                "revision": label,
                "as_of": found.as_of,
                "entered_later": found.entered_later,
                "ready": found.ready,
                "missing": [_missing(one) for one in found.missing],
                "also_open": len(found.also_open),
            }
        )


def _missing(one: Missing) -> dict[str, str]:
    gap = one.gap
    return {
        "what": gap.what,
        "reason": gap.reason,
        "ground": str(gap.ground),
        "settled_by": gap.settled_by,
        str(gap.subject_kind): gap.subject,
    }
