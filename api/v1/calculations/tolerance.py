"""``POST /calculations/tolerance/``."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from api.schema import described
from api.shapes import Name, Shape, Text, Whole, checked
from api.v1.calculations.view import CalculationView
from logbook.calculations.translate import StackAsked, computed

VALUE = {"type": ["number", "string"]}
PART_SCHEMA = {
    "oneOf": [
        {"type": "number"},
        {"type": "string", "examples": ["4k7J"]},
        {
            "type": "object",
            "properties": {
                "nominal": VALUE,
                "tolerance": {"type": ["number", "string"], "examples": ["1 %", "+2 % / -1.5 %"]},
                "low": VALUE,
                "high": VALUE,
                "unit": {"type": "string"},
                "tempco": {"type": ["number", "string"], "examples": ["50 ppm/K"]},
                "temperature": {
                    "type": "object",
                    "properties": {"low": VALUE, "high": VALUE, "reference": VALUE},
                },
            },
        },
    ]
}


@extend_schema_field({"type": "object", "additionalProperties": PART_SCHEMA})
class PartsField(serializers.Field[Any, Any, Any, Any]):
    """Parts by name: a plain number, text, or an object; what they say, the core reads."""

    def to_internal_value(self, data: Any) -> dict[str, Any]:
        """Return the parts as they were given."""
        if not isinstance(data, Mapping):
            raise ValidationError("parts are an object: their names, and what each is")
        for name, part in data.items():
            self._check(str(name), part)
        return {str(name): part for name, part in data.items()}

    def to_representation(self, value: Any) -> Any:
        """Return them as they are."""
        return value

    @staticmethod
    def _check(name: str, part: Any) -> None:
        fields = part.items() if isinstance(part, Mapping) else [("", part)]
        for field, value in fields:
            inner = value.values() if isinstance(value, Mapping) and field == "temperature" else [value]
            if any(isinstance(one, bool) or not isinstance(one, str | int | Decimal | None) for one in inner):
                raise ValidationError({name: ["this is neither a number, text nor an object of a part"]})


class ToleranceAsked(Shape):
    """A formula over named parts. Plain numbers are in base units; the result is written in ``unit``."""

    formula = Name(max_length=None, trim_whitespace=True)
    parts = PartsField(required=True)
    unit = Text()
    samples = Whole(min_value=1)
    seed = Whole()


class BandShown(serializers.Serializer[Any]):
    """Two ends, in ``unit``."""

    low = serializers.FloatField()
    high = serializers.FloatField()


class ExtremeShown(BandShown):
    """Over the whole box of bands, rounded outwards; not ``exact`` is perhaps much wider than the truth."""

    exact = serializers.BooleanField()


class MonteCarloShown(BandShown):
    """Each part rectangular over its band; ``coverage`` is the share of the values within."""

    coverage = serializers.FloatField()


class RootSumSquareShown(BandShown):
    """Nominal ± the root of the sum of (sensitivity × half-width)²; not ``usable`` where the formula is
    too curved within the bands, and ``reason`` says how; it then cannot become the limits of a target.
    """

    usable = serializers.BooleanField()
    reason = serializers.CharField(allow_blank=True)


class ToleranceAnswer(serializers.Serializer[Any]):
    """What the formula can come to, in ``unit``; shares are (sensitivity × half-width)² of the whole.

    ``units_checked`` says whether the units of the parts were followed through the formula and fit ``unit``;
    where not, ``units_reason`` says what was taken as it is.
    """

    unit = serializers.CharField()
    units_checked = serializers.BooleanField()
    units_reason = serializers.CharField(allow_blank=True)
    nominal = serializers.FloatField()
    extreme = ExtremeShown()
    root_sum_square = RootSumSquareShown()
    monte_carlo = MonteCarloShown()
    shares = serializers.DictField(child=serializers.FloatField())


class ToleranceView(CalculationView):
    """A tolerance stack-up."""

    @described("calculate_tolerance", ToleranceAnswer, sends=ToleranceAsked)
    def post(self, request: Request) -> Response:
        """Stack up the tolerances of a formula's parts by three methods."""
        found = computed(StackAsked(**checked(ToleranceAsked, request.data)))
        simulated, problem = found.monte_carlo, found.linear_problem
        return Response(
            {
                "unit": found.unit,
                "units_checked": found.units.is_checked,
                "units_reason": found.units.reason,
                "nominal": found.nominal,
                "extreme": {
                    "low": found.extreme.low,
                    "high": found.extreme.high,
                    "exact": found.extreme.exact,
                },
                "root_sum_square": {
                    "low": found.root_sum_square.low,
                    "high": found.root_sum_square.high,
                    "usable": not problem,
                    "reason": problem,
                },
                "monte_carlo": {
                    "low": simulated.low,
                    "high": simulated.high,
                    "coverage": simulated.coverage,
                },
                "shares": dict(found.shares),
            }
        )
