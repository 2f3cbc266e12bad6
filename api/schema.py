"""The OpenAPI document, committed as ``docs/openapi.yaml``.

After a change of the API: ``python manage.py spectacular --fail-on-warn --file docs/openapi.yaml``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, TypeVar

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers

from api.errors import MEDIA_TYPE

F = TypeVar("F", bound=Callable[..., Any])


class FieldProblemShape(serializers.Serializer[Any]):
    """One field that cannot be accepted."""

    field = serializers.CharField(
        help_text="Its name, with dots below lists and objects; empty for the whole."
    )
    message = serializers.CharField()
    given = serializers.CharField()
    allowed = serializers.CharField()
    code = serializers.CharField()


class ProblemShape(serializers.Serializer[Any]):
    """The body of every error (RFC 9457)."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    code = serializers.CharField(help_text="Stable; a script may branch on it.")
    problems = FieldProblemShape(many=True)
    instance = serializers.CharField(required=False)


class ProblemAutoSchema(AutoSchema):
    """Describes the errors beside each answer."""

    def _get_response_bodies(self, direction: Literal["request", "response"] = "response") -> dict[str, Any]:
        responses: dict[str, Any] = super()._get_response_bodies(direction)
        component: ResolvedComponent = self.resolve_serializer(ProblemShape, "response")
        described = {
            "description": "Problem: what was given, what is allowed and where.",
            "content": {MEDIA_TYPE: {"schema": component.ref}},
        }
        return responses | {code: described for code in ("4XX", "5XX") if code not in responses}


def described(
    name: str,
    answer: Any,
    *,
    sends: Any = None,
    status: int = 200,
    parameters: tuple[str | OpenApiParameter, ...] = (),
    also: dict[int, Any] | None = None,
) -> Callable[[F], F]:
    """Describe one method of a view: its name, what it takes and what it answers."""
    # A file comes as what it is, not as JSON.
    answered = (status, "*/*") if answer is OpenApiTypes.BINARY else status
    return extend_schema(
        operation_id=name,
        request=sends,
        responses={answered: answer} | (also or {}),
        parameters=[
            OpenApiParameter(one, str, description=_meaning(one)) if isinstance(one, str) else one
            for one in parameters
        ],
    )


def _meaning(parameter: str) -> str:
    return MEANINGS.get(parameter, f"Only those with this {parameter}.")


MEANINGS = {
    "after": "Key of the last row of the page before: `next_after` of that answer.",
    "limit": "Rows a page, 1 to 500; 100 when left out.",
    "as_of": "A past day (YYYY-MM-DD): as the project stood at its end.",
    "at": "A moment with its zone: as the board stood then; now when left out.",
    "with": "Label of the revision to compare with; needed.",
    "bill": "Number of an earlier import; the one that stands when left out.",
    "minutes": "Hands-on minutes there are, 1 to 1440; 60 when left out.",
    "verdict": "pass, conditional pass, conditional fail, fail, or none.",
    "project": "Short name of the project; needed.",
    "revision": "Label of a revision; for targets, whose issue in force is shown.",
    "text": "What is printed on the part or was typed, such as 4k7J.",
    "kind": "resistance, capacitance or inductance; needed where the text has no unit.",
    "value": "The value wanted, such as 4k83 or 47 nF.",
    "channel": "Which trace, counted from 1.",
    "start": "Where the range begins, in the unit of the x axis.",
    "stop": "Where the range ends.",
    "buckets": "Most pairs of lowest and highest, 1 to 2,000.",
    "series": "E3, E6, E12, E24, E48, E96 or E192.",
}
PAGED = ("after", "limit")
IF_MATCH = OpenApiParameter(
    "If-Match",
    str,
    OpenApiParameter.HEADER,
    description="The `ETag` it was read with: 412 names who changed what since. Any version when left out.",
)


@extend_schema_field({"type": ["integer", "string"]})
class LastKey(serializers.Field[Any, Any, Any, Any]):
    """The key of the last row of a page: a number, or a name."""


def paged(shape: type[serializers.Serializer[Any]]) -> type[serializers.Serializer[Any]]:
    """Return the shape of a page of ``shape``."""
    name = shape.__name__.removesuffix("Shown")
    fields = {"results": shape(many=True), "next_after": LastKey(allow_null=True)}
    return type(f"{name}Page", (serializers.Serializer,), fields)
