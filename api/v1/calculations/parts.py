"""``GET /calculations/quantity/`` and ``/preferred-value/``: reading what parts and people say."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.numbers import number
from api.pagination import refuse_unknown_parameters
from api.parameters import needed_text
from api.schema import described
from api.shapes import Float
from api.v1.calculations.view import CalculationView
from logbook.core.errors import CoreError
from logbook.core.preferred import nearest_value
from logbook.core.quantities import format_quantity, parse_marked_value, parse_quantity


class QuantityAnswer(serializers.Serializer[Any]):
    """A value in its base unit ``unit``, with the band of a tolerance letter, and as it is printed."""

    value = serializers.FloatField()
    unit = serializers.CharField()
    low = Float(allow_null=True, required=True)
    high = Float(allow_null=True, required=True)
    text = serializers.CharField()


class PreferredValueAnswer(serializers.Serializer[Any]):
    """Members of the series around a value, in its base unit (a plain 4k83 is 4830)."""

    nearest = serializers.FloatField()
    below = serializers.FloatField()
    above = serializers.FloatField()
    usual_tolerance_percent = Float(allow_null=True, required=True)
    member = serializers.BooleanField()


class QuantityView(CalculationView):
    """What a text says."""

    @described("calculate_quantity", QuantityAnswer, parameters=("text", "kind"))
    def get(self, request: Request) -> Response:
        """Read a quantity or a part's marking."""
        refuse_unknown_parameters(request, ("text", "kind"))
        kind = request.query_params.get("kind", "")
        marked = parse_marked_value(
            needed_text(request, "text"), None if kind in ("", "none") else kind, where="text"
        )
        return Response(
            {
                "value": number(marked.value),
                "unit": marked.unit.symbol,
                "low": number(marked.low),
                "high": number(marked.high),
                "text": format_quantity(marked.value, marked.unit),
            }
        )


class PreferredValueView(CalculationView):
    """Where a value lies in a series."""

    @described("calculate_preferred_value", PreferredValueAnswer, parameters=("value", "series"))
    def get(self, request: Request) -> Response:
        """Place a value in a series of preferred values; near is the smallest ratio."""
        refuse_unknown_parameters(request, ("value", "series"))
        value = _wanted(needed_text(request, "value"))
        found = nearest_value(value, needed_text(request, "series"))
        return Response(
            {
                "nearest": number(found.nearest),
                "below": number(found.below),
                "above": number(found.above),
                "usual_tolerance_percent": number(found.usual_tolerance_percent),
                "member": found.member,
            }
        )


def _wanted(text: str) -> Decimal:
    """Return the value wanted: a plain number with or without a prefix, or a quantity in its base unit."""
    try:
        return parse_quantity(text, unit="", where="value").base_value
    except CoreError:
        return parse_quantity(text, where="value").base_value
