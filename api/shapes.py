"""Shapes of input: which fields there are and of what type. Whether they make sense is for the commands."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from api.errors import LONGEST_GIVEN, field_problems
from logbook.common import clock
from logbook.common.errors import FieldProblem, InvalidInputError
from logbook.core.quantities import canonical_text, decimal_of

LARGEST_ID = 2**63 - 1
ZONE = "a moment with its zone, such as 2026-05-02T10:22:00Z or 2026-05-02T12:22:00+02:00"


class Shape(serializers.Serializer[Any]):
    """A set of fields; any other field is refused by name."""

    def to_internal_value(self, data: Any) -> dict[str, Any]:
        """Return the values, having refused what there is no field for."""
        if isinstance(data, Mapping):
            unknown = [str(name) for name in data if name not in self.fields]
            if unknown:
                word = "cannot be changed here" if self.partial else "is not a field here"
                raise ValidationError(
                    {name: [ErrorDetail(f"{name!r} {word}", "unknown")] for name in unknown}
                )
        values: dict[str, Any] = super().to_internal_value(data)
        return values


class Text(serializers.CharField):
    """Text that may be empty. Numbers are refused: board 0006 is not board 6."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": False, "allow_blank": True} | options))

    def to_internal_value(self, data: Any) -> str:
        """Return the text."""
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class Name(Text):
    """Text that must be there."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": True, "allow_blank": False} | options))


class Word(serializers.ChoiceField):
    """One of a few words."""

    def __init__(self, choices: Any, **options: Any) -> None:
        super().__init__(choices, **({"required": False} | options))


class Names(serializers.ListField):
    """A list of names."""

    child = Text(max_length=200)

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": False, "max_length": 500} | options))


class KeysOf(serializers.ListField):
    """The keys of related rows, for answers."""

    child = serializers.CharField()

    def __init__(self, key: str, **options: Any) -> None:
        super().__init__(**options)
        self.key = key

    def to_representation(self, data: Any) -> list[Any]:
        """Return one key a row."""
        return [getattr(row, self.key) for row in data.all()]


@extend_schema_field(OpenApiTypes.DOUBLE)
class Float(serializers.Field[Any, Any, Any, Any]):
    """A finite JSON number."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": False} | options))

    def to_internal_value(self, data: Any) -> float:
        """Return the number as a float."""
        if isinstance(data, bool) or not isinstance(data, int | float | Decimal):
            raise ValidationError("this is not a number")
        number = float(data)
        if not math.isfinite(number):
            raise ValidationError("this number is too large")
        return number

    def to_representation(self, value: Any) -> Any:
        """Return it as it is."""
        return value


@extend_schema_field({"type": ["number", "string"]})
class Numeral(serializers.Field[Any, Any, Any, Any]):
    """A number, or text as people write it; kept as text, so that no digit is lost."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": False} | options))

    def to_internal_value(self, data: Any) -> str:
        """Return the text."""
        if isinstance(data, str):
            return data
        if isinstance(data, bool) or not isinstance(data, int | Decimal):
            raise ValidationError("this is neither a number nor text")
        return canonical_text(decimal_of(data))

    def to_representation(self, value: Any) -> Any:
        """Return it as it is."""
        return value


class Whole(serializers.IntegerField):
    """A whole number from 0, small enough for the tables."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": False, "min_value": 0, "max_value": 2**31 - 1} | options))


class Moment(serializers.DateTimeField):
    """A moment with its zone: without one, nobody can say later when it was."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**({"required": False} | options))

    def to_internal_value(self, data: Any) -> datetime:
        """Return the moment."""
        try:
            return moment_of(data)
        except ValueError as error:
            raise ValidationError(str(error)) from error


def moment_of(given: object) -> datetime:
    """Read a moment of ISO 8601 that states its zone; a ``ValueError`` says what is wrong."""
    try:
        moment = datetime.fromisoformat(given) if isinstance(given, str) else None
    except ValueError:
        moment = None
    if moment is None:
        message = f"this is not {ZONE}"
        raise ValueError(message)
    if moment.tzinfo is None:
        message = f"the zone is missing; write {ZONE}"
        raise ValueError(message)
    if not clock.is_sensible(moment):
        message = f"this is not {clock.SENSIBLE}: is the clock set?"
        raise ValueError(message)
    return moment.astimezone(UTC)


def checked(shape: type[Shape], data: Any, *, partial: bool = False) -> dict[str, Any]:
    """Return the values of ``data``, or raise naming each field, what was given and what is allowed."""
    reader = shape(data=data, partial=partial)
    try:
        reader.is_valid(raise_exception=True)
    except ValidationError as error:
        problems = [_completed(one, reader, data) for one in field_problems(error)]
        summary = "; ".join(f"{one.field}: {one.message}" if one.field else one.message for one in problems)
        raise InvalidInputError(summary, problems=problems) from error
    return dict(reader.validated_data)


def _completed(found: FieldProblem, reader: Shape, data: Any) -> FieldProblem:
    """Add what was given at that place and what is allowed there."""
    given: Any = data
    field: Any = reader
    for step in found.field.split(".") if found.field else ():
        given = _below(given, step)
        field = getattr(field, "fields", {}).get(step) or getattr(field, "child", None)
    if found.code == "unknown":
        allowed = ", ".join(reader.fields)
    else:
        allowed = ", ".join(str(word) for word in getattr(field, "choices", {}))
    return FieldProblem(found.field, found.message, told(given), allowed, found.code)


def _below(given: Any, step: str) -> Any:
    if isinstance(given, Mapping):
        return given.get(step)
    return given[int(step)] if isinstance(given, list) and step.isdigit() and int(step) < len(given) else None


def told(given: Any) -> str:
    """Return what was given as short, storable text, to be told back."""
    if given is None:
        return ""
    text = given if isinstance(given, str) else json.dumps(given, default=str, ensure_ascii=False)
    return text[:LONGEST_GIVEN].encode("utf-8", "replace").decode()
