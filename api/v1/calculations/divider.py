"""``POST /calculations/divider/``: the best pairs of preferred values for a divider."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.numbers import number
from api.schema import described
from api.shapes import Name, Shape, Text, Whole, checked
from api.v1.calculations.view import CalculationView, NumberOrText, text_of, value_in
from logbook.core.preferred.dividers import best_divider_pairs
from logbook.core.quantities import decimal_of, unit_named

USUAL_TOTAL = {"total_low": "1k", "total_high": "1M"}


class DividerAsked(Shape):
    """Output and voltage at the tap in V, or their ratio and 1; both resistors together in Ω (1k to 1M).

    ``tolerance_percent`` is that of both; the usual one of the series when left out. ``count`` is 1 to 50.
    """

    v_out = NumberOrText(required=True)
    v_ref = NumberOrText()
    series_top = Name(help_text="E3 to E192.")
    series_bottom = Text(help_text="That of the upper resistor when left out.")
    total_low = NumberOrText()
    total_high = NumberOrText()
    tolerance_percent = NumberOrText(allow_null=True)
    count = Whole(help_text="8 when left out.")


class DividerPairShown(serializers.Serializer[Any]):
    """Two resistors in Ω, what they give in V, and its band over their tolerances."""

    top = serializers.FloatField()
    bottom = serializers.FloatField()
    output = serializers.FloatField()
    error_percent = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()


class DividerAnswer(serializers.Serializer[Any]):
    """The pairs, smallest error first."""

    pairs = DividerPairShown(many=True)


class DividerView(CalculationView):
    """Pairs of resistors for a divider."""

    @described("calculate_divider", DividerAnswer, sends=DividerAsked)
    def post(self, request: Request) -> Response:
        """Search both resistors of a divider; the voltage at the tap counts as exact."""
        asked = checked(DividerAsked, request.data)
        tolerance = asked.get("tolerance_percent")
        found = best_divider_pairs(
            value_in(asked["v_out"], unit_named("V"), "v_out"),
            value_in(asked.get("v_ref", 1), unit_named("V"), "v_ref"),
            series_top=asked["series_top"],
            series_bottom=asked.get("series_bottom") or None,
            total_range=(_total(asked, "total_low"), _total(asked, "total_high")),
            tolerance_percent=None
            if tolerance in (None, "")
            else decimal_of(text_of(tolerance, "tolerance_percent"), where="tolerance_percent"),
            count=asked.get("count") or 8,
        )
        names = ("top", "bottom", "output", "error_percent", "low", "high")
        return Response({"pairs": [{name: number(getattr(one, name)) for name in names} for one in found]})


def _total(asked: dict[str, Any], name: str) -> Decimal:
    return value_in(asked.get(name, USUAL_TOTAL[name]), unit_named("Ω"), name)
