"""What the calculations share: who may ask, and numbers that may be text with a unit."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from api.permissions import ANYBODY
from api.throttling import AnonymousRate
from api.views import LogbookView
from logbook.core.quantities import Unit, canonical_text, convert, decimal_of, parse_quantity

Given = str | int | Decimal


class CalculationView(LogbookView):
    """Open to anybody, at a rate; a token that is sent must be a good one."""

    scopes: ClassVar = {"GET": ANYBODY, "POST": ANYBODY}
    throttle_classes = [AnonymousRate]


@extend_schema_field({"type": ["number", "string"]})
class NumberOrText(serializers.Field[Any, Any, Any, Any]):
    """A JSON number, or text with or without a unit."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": False} | options))

    def to_internal_value(self, data: Any) -> Given:
        """Return it as it was given."""
        if isinstance(data, bool) or not isinstance(data, str | int | Decimal):
            raise ValidationError("this is neither a number nor text")
        return data

    def to_representation(self, value: Any) -> Any:
        """Return it as it is."""
        return value


def text_of(given: Given, where: str) -> str:
    """Return a number as the digits it has; text as it is."""
    return given if isinstance(given, str) else canonical_text(decimal_of(given, where=where))


def value_in(given: Given, unit: Unit, where: str, *, plain: Unit | None = None) -> Decimal:
    """Return a value in ``unit``; a number without a unit of its own is in ``plain``, or in ``unit``."""
    quantity = parse_quantity(text_of(given, where), unit=plain or unit, where=where)
    return convert(quantity.value, quantity.unit, unit, where=where)
