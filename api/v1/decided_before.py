"""``/projects/{slug}/decided-before/``: everything that was ever decided about one subject."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import refuse_unknown_parameters
from api.schema import described
from api.views import LogbookView
from logbook.common.errors import InvalidInputError
from logbook.core.risk import SubjectKind
from logbook.planning.queries.decided_before import decided_before

PARAMETERS = ("subject_kind", "subject")


class DecisionBeforeShown(serializers.Serializer[Any]):
    """One decision, and what ended it."""

    revision = serializers.CharField()
    decision = serializers.CharField(help_text="A word of dispositions, or not applicable.")
    says = serializers.CharField(help_text="What was decided, who answers for it, until when and why.")
    told = serializers.CharField(help_text="The reason of the row as it read then.")
    by = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    ended = serializers.CharField(help_text="What ended it; empty while nothing recorded did.")


class DecidedBeforeShown(serializers.Serializer[Any]):
    """The decisions about a subject on every revision, newest first."""

    subject_kind = serializers.CharField()
    subject = serializers.CharField()
    decisions = DecisionBeforeShown(many=True)


class DecidedBeforeView(LogbookView):
    """The history of decisions on a row of the open-risk list."""

    @described("decided_before_read", DecidedBeforeShown, parameters=PARAMETERS)
    def get(self, request: Request, slug: str) -> Response:
        """Return who decided what, when and why, and what ended it, on every revision."""
        refuse_unknown_parameters(request, PARAMETERS)
        project = self.project(slug)
        kind, subject = (request.query_params.get(name, "") for name in PARAMETERS)
        if kind not in list(SubjectKind):
            allowed = ", ".join(SubjectKind)
            raise InvalidInputError.of("subject_kind", "no such subject", given=kind, allowed=allowed)
        found = decided_before(project, SubjectKind(kind), subject)
        shown = DecisionBeforeShown(found, many=True).data
        return Response({"subject_kind": kind, "subject": subject, "decisions": shown})
