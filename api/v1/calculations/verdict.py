"""``POST /calculations/verdict/``."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from api.limits import LimitsField, limits_given
from api.numbers import number
from api.schema import described
from api.shapes import Float, Shape, Text, Word, checked
from api.v1.calculations.view import CalculationView, Given, NumberOrText, text_of
from logbook.bench.choices import Rule, Verdict
from logbook.common.errors import InvalidInputError
from logbook.core.limits import Limits
from logbook.core.quantities import (
    Quantity,
    Unit,
    convert,
    decimal_of,
    parse_difference,
    parse_quantity,
    unit_named,
)
from logbook.core.verdict import Judgement, judge_count, judge_number, judge_yes_no, usual_floor

ANSWERS = {"yes": True, "true": True, "no": False, "false": False}
_COUNT = re.compile(r"([0-9]{1,18})(?: *errors?)?(?: +(?:of|in) +([0-9]{1,18}))?(?: *errors?)?")


class ValueField(NumberOrText):
    """A number, text, or yes and no as true and false."""

    def to_internal_value(self, data: Any) -> Given:
        """Return it as it was given; true and false as words."""
        if isinstance(data, bool):
            return "yes" if data else "no"
        if not isinstance(data, str | int | Decimal):
            raise ValidationError("this is neither a number, text, true nor false")
        return data


class VerdictAsked(Shape):
    """A value, its uncertainty and its limits. A plain number is in ``unit``, or in that of the limits."""

    limits = LimitsField(required=True)
    value = ValueField(required=True)
    unit = Text()
    expanded_uncertainty = NumberOrText(allow_null=True)
    coverage_factor = NumberOrText(allow_null=True)
    degrees_of_freedom = Float(allow_null=True)
    rule = Word(Rule.choices)


class VerdictAnswer(serializers.Serializer[Any]):
    """The verdict and why; numbers in ``unit``, the unit of the limits."""

    verdict = serializers.ChoiceField(Verdict.choices, allow_null=True)
    reason = serializers.CharField()
    low = Float(allow_null=True, required=True)
    high = Float(allow_null=True, required=True)
    unit = serializers.CharField()
    conformance_probability = Float(allow_null=True, required=True)
    margin = Float(allow_null=True, required=True)
    test_uncertainty_ratio = Float(
        allow_null=True,
        required=True,
        help_text="(high - low) / (4 u), wherever the value lies; ``reason`` sets the margin against U.",
    )
    decidable = serializers.BooleanField()


class VerdictView(CalculationView):
    """A verdict on one value."""

    @described("calculate_verdict", VerdictAnswer, sends=VerdictAsked)
    def post(self, request: Request) -> Response:
        """Judge a value against its limits."""
        judgement = judged(checked(VerdictAsked, request.data))
        return Response(
            {
                "verdict": judgement.verdict.value if judgement.verdict else None,
                "reason": judgement.reason,
                "low": number(judgement.low),
                "high": number(judgement.high),
                "unit": judgement.unit,
                "conformance_probability": judgement.conformance_probability,
                "margin": number(judgement.margin),
                "test_uncertainty_ratio": judgement.test_uncertainty_ratio,
                "decidable": judgement.decidable,
            }
        )


def judged(asked: dict[str, Any]) -> Judgement:
    """Return the judgement of what was asked; the kind of limits says how the value is read."""
    limits = limits_given(asked["limits"], asked.get("unit", ""))
    if limits.kind == "yes_no":
        return judge_yes_no(limits, _answer(text_of(asked["value"], "value")))
    if limits.kind == "count":
        count, trials = _count(text_of(asked["value"], "value"))
        return judge_count(limits, count, trials)
    return _judged_number(limits, asked)


def _judged_number(limits: Limits, asked: dict[str, Any]) -> Judgement:
    """Numbers stand in ``unit``; where it is not given, in the unit of the limits or of the value's text."""
    plain = unit_named(asked["unit"]) if asked.get("unit") else limits.unit
    value = parse_quantity(text_of(asked["value"], "value"), unit=plain, where="value")
    stated, factor = asked.get("expanded_uncertainty"), asked.get("coverage_factor")
    own = plain if asked.get("unit") else value.unit
    judged_value = convert(value.value, value.unit, limits.unit, where="value")
    return judge_number(
        limits,
        judged_value,
        expanded_uncertainty=None if stated in (None, "") else _uncertainty(stated, value, own, limits),
        coverage_factor=None if factor in (None, "") else decimal_of(factor, where="coverage_factor"),
        degrees_of_freedom=asked.get("degrees_of_freedom"),
        rule=asked.get("rule") or Rule.GUARDED,
        floor=usual_floor(limits, judged_value),
    )


def _uncertainty(stated: Any, value: Quantity, own: Unit, limits: Limits) -> Decimal:
    """Read an uncertainty in ``own``: a number, a difference (dB, K), or a share of the value."""
    field = "expanded_uncertainty"
    share_of = convert(value.value, value.unit, own, where="value")
    read = parse_difference(text_of(stated, field), own, where=field, share_of=share_of)
    return convert(read, own, limits.unit, where=field)


def _answer(text: str) -> bool:
    if text.strip().lower() not in ANSWERS:
        raise InvalidInputError.of("value", "these limits ask yes or no", given=text, allowed="yes, no")
    return ANSWERS[text.strip().lower()]


def _count(text: str) -> tuple[int, int | None]:
    found = _COUNT.fullmatch(text.strip())
    if found is None:
        allowed = "a whole number, or n of N such as 99 of 100"
        raise InvalidInputError.of("value", "these limits ask for a count", given=text, allowed=allowed)
    return int(found[1]), int(found[2]) if found[2] else None
