"""``POST /calculations/uncertainty/``."""

from __future__ import annotations

from dataclasses import asdict
from decimal import Decimal
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.numbers import number
from api.schema import described
from api.shapes import Float, Shape, Text, checked
from api.v1.calculations.view import CalculationView, Given, NumberOrText, text_of, value_in
from logbook.common.errors import InvalidInputError
from logbook.core.quantities import Unit, decimal_of, parse_quantity
from logbook.core.uncertainty import Accuracy, evaluate_reading

MOST_REPEATS = 10_000


class AccuracyAsked(Shape):
    """What the maker states: percent of reading, with percent of range or counts; or an absolute part."""

    percent_of_reading = NumberOrText(allow_null=True)
    percent_of_range = NumberOrText(allow_null=True)
    range = NumberOrText(allow_null=True)
    counts = NumberOrText(allow_null=True)
    resolution = NumberOrText(allow_null=True)
    absolute = NumberOrText(allow_null=True)


class UncertaintyAsked(Shape):
    """A reading, what its instrument states, and repeats. A plain number is in ``unit``."""

    reading = NumberOrText(required=True)
    unit = Text()
    accuracy = AccuracyAsked(required=False, allow_null=True)
    repeats = serializers.ListField(child=NumberOrText(), required=False, max_length=MOST_REPEATS)


class ContributionShown(serializers.Serializer[Any]):
    """One line of the budget; ``share`` is its part of the combined variance."""

    name = serializers.CharField()
    half_width_or_s = serializers.FloatField()
    distribution = serializers.CharField()
    divisor = serializers.FloatField()
    standard_uncertainty = serializers.FloatField()
    degrees_of_freedom = Float(allow_null=True, required=True)
    share = serializers.FloatField()


class UncertaintyAnswer(serializers.Serializer[Any]):
    """The uncertainty of the reading, in ``unit``; infinite degrees of freedom are null."""

    unit = serializers.CharField()
    mean = Float(allow_null=True, required=True, help_text="Mean of the repeats.")
    n = serializers.IntegerField()
    bound = serializers.FloatField()
    standard_uncertainty = serializers.FloatField()
    effective_degrees_of_freedom = Float(allow_null=True, required=True)
    coverage_factor = serializers.FloatField()
    expanded_uncertainty = serializers.FloatField()
    budget = ContributionShown(many=True)


class UncertaintyView(CalculationView):
    """The uncertainty of one reading."""

    @described("calculate_uncertainty", UncertaintyAnswer, sends=UncertaintyAsked)
    def post(self, request: Request) -> Response:
        """Evaluate the uncertainty of a reading from its instrument and its repeats."""
        asked = checked(UncertaintyAsked, request.data)
        reading = parse_quantity(
            text_of(asked["reading"], "reading"), unit=asked.get("unit") or None, where="reading"
        )
        repeats = [value_in(given, reading.unit, "repeats") for given in asked.get("repeats", ())]
        accuracy = _accuracy(asked.get("accuracy") or {}, reading.unit)
        result = evaluate_reading(reading.value, accuracy, repeats=repeats)
        return Response(
            {
                "unit": reading.unit.symbol,
                "mean": number(result.mean),
                "n": result.n,
                "bound": number(result.bound),
                "standard_uncertainty": result.standard_uncertainty,
                "effective_degrees_of_freedom": result.effective_degrees_of_freedom,
                "coverage_factor": result.coverage_factor,
                "expanded_uncertainty": number(result.expanded_uncertainty),
                "budget": [asdict(line) for line in result.budget],
            }
        )


def _accuracy(stated: dict[str, Given | None], unit: Unit) -> Accuracy | None:
    """Return the statement in the unit of the reading; none when nothing is stated."""
    given = {name: value for name, value in stated.items() if value not in (None, "")}
    if not given:
        return None

    if "percent_of_range" in given and "range" not in given:
        message = "a percentage of the range needs the range"
        raise InvalidInputError.of("accuracy.range", message, allowed="such as 10 V", code="required")

    def plain(name: str) -> Decimal | None:
        return decimal_of(given[name], where=f"accuracy.{name}") if name in given else None

    def scaled(name: str) -> Decimal | None:
        return value_in(given[name], unit, f"accuracy.{name}") if name in given else None

    return Accuracy(
        percent_of_reading=plain("percent_of_reading"),
        percent_of_range=plain("percent_of_range"),
        range_value=scaled("range"),
        counts=plain("counts"),
        resolution=scaled("resolution"),
        absolute=scaled("absolute"),
    )
