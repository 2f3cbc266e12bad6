"""Limits as they come in: text as people write it, or a lower and an upper bound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from logbook.core.limits import Limits, limits_from_bounds, parse_limits

Bound = str | int | Decimal | None
BOUND_SCHEMA = {"type": ["string", "number", "null"]}


@dataclass(frozen=True)
class GivenBounds:
    """A lower and an upper bound given apart."""

    low: Bound
    high: Bound

    def text_in(self, unit: str) -> str:
        """Return the limits as text; ``unit`` is that of plain numbers."""
        return limits_from_bounds(self.low, self.high, unit=unit or None).text


@extend_schema_field(
    {
        "oneOf": [
            {"type": "string", "examples": ["3.3 V ± 5 %"]},
            {"type": "object", "properties": {"low": BOUND_SCHEMA, "high": BOUND_SCHEMA}},
        ]
    }
)
class LimitsField(serializers.Field[Any, Any, Any, Any]):
    """Text, or an object with ``low`` and ``high``."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": False} | options))

    def to_internal_value(self, data: Any) -> str | GivenBounds:
        """Return the text or the bounds; nothing of either is read yet."""
        if isinstance(data, str):
            return data
        if not isinstance(data, Mapping) or not set(data) <= {"low", "high"}:
            raise ValidationError("limits are text such as 3.3 V ± 5 %, or an object with low and high")
        for name, bound in data.items():
            if isinstance(bound, bool) or not isinstance(bound, str | int | Decimal | None):
                raise ValidationError({name: ["a bound is text with a unit, a number, or null"]})
        return GivenBounds(data.get("low"), data.get("high"))

    def to_representation(self, value: Any) -> Any:
        """Return it as it is."""
        return value


def limits_given(given: str | GivenBounds, unit: str) -> Limits:
    """Read limits; ``unit`` is that of plain numbers in them."""
    if isinstance(given, GivenBounds):
        return limits_from_bounds(given.low, given.high, unit=unit or None)
    return parse_limits(given, unit=unit or None, where="limits")
