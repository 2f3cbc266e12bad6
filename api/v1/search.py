"""``/search/``: anything by any of its words."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.pagination import refuse_unknown_parameters
from api.parameters import needed_text, whole_number
from api.schema import described
from api.views import LogbookView
from logbook.common.errors import InvalidInputError
from logbook.recall.search.asking import MOST, USUAL, Hit, search
from logbook.recall.search.documents import KINDS
from logbook.recall.search.excerpts import plain

PARAMETERS = (
    OpenApiParameter("q", str, required=True, description="Words, keys, values; mistyped ones too."),
    OpenApiParameter("project", str, description="Only of the project with this short name."),
    OpenApiParameter("kind", str, enum=KINDS, description="Only of this kind."),
    OpenApiParameter("limit", int, description=f"Most results, 1 to {MOST}; {USUAL} when left out."),
)


class HitShown(serializers.Serializer[Any]):
    """One thing that was found."""

    kind = serializers.CharField(help_text="finding, target, measurement, lesson, part and so on.")
    title = serializers.CharField()
    where = serializers.CharField(help_text="Its project, and the revision or board it belongs to.")
    url = serializers.CharField(help_text="Address of its page on this site.")
    excerpt = serializers.CharField(help_text="The text around the first word that fits.")


class FoundShown(serializers.Serializer[Any]):
    """What was found, the best first."""

    results = HitShown(many=True)
    up_to_date = serializers.BooleanField(help_text="False while a large import is still being indexed.")


class SearchView(LogbookView):
    """Finding anything."""

    @described("search", FoundShown, parameters=PARAMETERS)
    def get(self, request: Request) -> Response:
        """Return what fits all words, or what they may have been meant for, the best first."""
        refuse_unknown_parameters(request, tuple(one.name for one in PARAMETERS))
        question, kind = needed_text(request, "q"), request.query_params.get("kind", "")
        if kind and kind not in KINDS:
            raise InvalidInputError.of("kind", "there is no such kind", given=kind, allowed=", ".join(KINDS))
        slug = request.query_params.get("project", "")
        answer = search(
            self.person,
            question,
            project=self.project(slug) if slug else None,
            kind=kind,
            limit=whole_number(request, "limit", least=1, most=MOST) or USUAL,
        )
        return Response({"results": [_shown(hit) for hit in answer.hits], "up_to_date": answer.is_up_to_date})


def _shown(hit: Hit) -> dict[str, str]:
    return {
        "kind": hit.kind,
        "title": plain(hit.title),
        "where": hit.where,
        "url": hit.url,
        "excerpt": plain(hit.excerpt),
    }
