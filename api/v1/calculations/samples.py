"""``POST /calculations/sample/`` and ``/attribute/``: what a handful of boards can say."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.limits import LimitsField, limits_given
from api.numbers import number
from api.schema import described
from api.shapes import Float, Shape, Text, Whole, checked
from api.v1.calculations.view import CalculationView, NumberOrText, text_of, value_in
from logbook.common.errors import InvalidInputError
from logbook.core.limits import Limits
from logbook.core.quantities import Unit, parse_quantity, unit_named
from logbook.core.samples import (
    FROM_READINGS,
    MOSTLY_ASSUMED,
    Predictive,
    attribute_bounds,
    capability,
    describe_sample,
    predictive_out_of_limits,
    tolerance_interval,
)

MOST_VALUES = 10_000
LARGEST_COUNT = 10**15
PROBABILITY_BASES = [(basis, basis) for basis in (MOSTLY_ASSUMED, FROM_READINGS)]
OF_BASIS = (
    "What the probability rests on: with one or two boards the spread is mostly assumed from the limits."
)


class SampleAsked(Shape):
    """Readings, one a board, and their limits. A plain number is in ``unit``, or in that of the limits."""

    values = serializers.ListField(child=NumberOrText(), max_length=MOST_VALUES)
    limits = LimitsField(allow_null=True)
    unit = Text()
    content = Float()
    confidence = Float()


class SampleAnswer(serializers.Serializer[Any]):
    """What n values say, in ``unit``; null is what they cannot say."""

    unit = serializers.CharField()
    n = serializers.IntegerField()
    mean = serializers.FloatField()
    standard_deviation = Float(allow_null=True, required=True)
    cpk = Float(allow_null=True, required=True)
    cpk_interval = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    tolerance_interval = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    probability_out_of_limits = Float(allow_null=True, required=True)
    probability_basis = serializers.ChoiceField(PROBABILITY_BASES, allow_null=True, help_text=OF_BASIS)


class AttributeAsked(Shape):
    """Failures in a number of trials."""

    failures = Whole(required=True, max_value=LARGEST_COUNT)
    trials = Whole(required=True, max_value=LARGEST_COUNT)
    confidence = Float()
    sides = serializers.ChoiceField([("two", "two"), ("upper", "upper")], required=False)


class AttributeAnswer(serializers.Serializer[Any]):
    """The share of failures seen, and the bounds of the true one."""

    estimate = serializers.FloatField()
    lower = serializers.FloatField()
    upper = serializers.FloatField()


class SampleView(CalculationView):
    """Small samples of a number."""

    @described("calculate_sample", SampleAnswer, sends=SampleAsked)
    def post(self, request: Request) -> Response:
        """Describe a sample and say how likely the next board is out of limits."""
        asked = checked(SampleAsked, request.data)
        limits, unit, values = _read(asked)
        low, high = (number(limits.low), number(limits.high)) if limits else (None, None)
        confidence = asked.get("confidence", 0.95)
        sample = describe_sample(values)
        index = capability(values, low, high, confidence=confidence) if limits else None
        next_board = _next_board(values, limits)
        return Response(
            {
                "unit": unit.symbol,
                "n": sample.n,
                "mean": sample.mean,
                "standard_deviation": sample.s,
                "cpk": index.cpk if index else None,
                "cpk_interval": index.cpk_interval if index else None,
                "tolerance_interval": tolerance_interval(values, asked.get("content", 0.95), confidence),
                "probability_out_of_limits": next_board.p_out if next_board else None,
                "probability_basis": next_board.basis if next_board else None,
            }
        )


def _read(asked: dict[str, Any]) -> tuple[Limits | None, Unit, list[float]]:
    """Return limits, unit and values; all in the unit of the limits, or of the first value without them."""
    given = asked["values"]
    if not given:
        raise InvalidInputError.of("values", "there is no value", allowed="1 or more values")
    stated = asked.get("unit", "")
    limits = limits_given(asked["limits"], stated) if asked.get("limits") else None
    if limits is not None and limits.kind != "number":
        raise InvalidInputError.of("limits", "a sample needs limits of a number", given=limits.text)
    if limits is not None:
        unit = limits.unit
    else:
        unit = parse_quantity(text_of(given[0], "values"), unit=stated or None, where="values").unit
    plain = unit_named(stated) if stated else unit
    return limits, unit, [float(value_in(one, unit, "values", plain=plain)) for one in given]


def _next_board(values: list[float], limits: Limits | None) -> Predictive | None:
    if limits is None:
        return None
    return predictive_out_of_limits(
        values,
        [None] * len(values),
        number(limits.low),
        number(limits.high),
        nominal=number(limits.nominal),
        logarithmic=limits.unit.logarithmic,
    )


class AttributeView(CalculationView):
    """Small samples of yes or no."""

    @described("calculate_attribute", AttributeAnswer, sends=AttributeAsked)
    def post(self, request: Request) -> Response:
        """Bound the true share of failures (Clopper and Pearson)."""
        asked = checked(AttributeAsked, request.data)
        bounds = attribute_bounds(
            asked["failures"], asked["trials"], asked.get("confidence", 0.95), asked.get("sides", "two")
        )
        return Response(bounds._asdict())
