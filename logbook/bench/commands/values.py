"""Reads what was typed for one reading against what its target asks."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from logbook.bench.choices import Outcome, TargetKind
from logbook.bench.commands.reading import Given, Number
from logbook.bench.models import TargetIssue
from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.quantities import (
    DIMENSIONLESS,
    Quantity,
    Unit,
    canonical_text,
    decimal_of,
    mismatch,
    parse_difference,
    parse_quantity,
    unit_named,
)

WORDS = {
    "seen working": Outcome.SEEN_WORKING,
    "not working": Outcome.NOT_WORKING,
    "inconclusive": Outcome.INCONCLUSIVE,
}
YES = {"yes", "y", "true", "1"}
NO = {"no", "n", "false", "0"}
LONGEST_COUNT = 10**18
TWO = Decimal(2)
# What nearly every script sends. Any other way to write a number is read by the core.
_PLAIN = re.compile(r"-?[0-9]{1,20}(?:\.[0-9]{1,15})?", re.ASCII)
_COUNT = re.compile(r"^\s*([^\s]+)(?:\s+errors?)?(?:\s+(?:of|in)\s+([^\s]+))?(?:\s+errors?)?\s*$")


class ReadValue(NamedTuple):
    """A reading's value as it will be stored."""

    outcome: str
    text: str
    value: Decimal | None
    unit: Unit
    trials: int | None = None


def read_value(given: Given, unit: str, issue: TargetIssue | None) -> ReadValue:
    """Read ``given`` as the kind of result the issue asks for; a loose reading is a number."""
    text = _text_of(given)
    kind = issue.kind if issue else TargetKind.NUMBER
    if kind == TargetKind.NUMBER and _PLAIN.fullmatch(text):
        return ReadValue(Outcome.NUMBER.value, text, Decimal(text), _unit_of_plain(unit, issue))
    if text.lower() in WORDS:
        return ReadValue(WORDS[text.lower()], text, None, DIMENSIONLESS)
    if kind == TargetKind.SEEN_WORKING:
        return _seen(text)
    if kind == TargetKind.YES_NO:
        return _yes_no(text)
    if kind == TargetKind.COUNT:
        return _count(text)
    return _number(text, unit, issue)


def _text_of(given: Given) -> str:
    if isinstance(given, bool):
        return "yes" if given else "no"
    if isinstance(given, str):
        text = given.strip()
    else:
        try:
            text = canonical_text(decimal_of(given, where="value"))
        except CoreError as error:
            raise InvalidInputError.from_core("value", error) from error
    if not text:
        raise InvalidInputError.of("value", "the value is empty", allowed="a number, or a word of the target")
    if len(text) > 64:
        raise InvalidInputError.of("value", "the value is too long", given=text[:64], allowed="64 characters")
    return text


def _seen(text: str) -> ReadValue:
    if text.lower() in YES | NO:
        outcome = Outcome.SEEN_WORKING if text.lower() in YES else Outcome.NOT_WORKING
        return ReadValue(outcome, text, None, DIMENSIONLESS)
    raise InvalidInputError.of(
        "value", "this target has no number", given=text, allowed=", ".join(sorted(WORDS))
    )


def _yes_no(text: str) -> ReadValue:
    if text.lower() not in YES | NO:
        raise InvalidInputError.of("value", "this target asks yes or no", given=text, allowed="yes, no")
    return ReadValue(Outcome.YES_NO, text, Decimal(text.lower() in YES), DIMENSIONLESS)


def _count(text: str) -> ReadValue:
    found = _COUNT.match(text)
    if found is None:
        allowed = "a whole number, or n of N such as 99 of 100"
        raise InvalidInputError.of("value", "this target asks for a count", given=text, allowed=allowed)
    count = _whole(found[1], text)
    trials = _whole(found[2], text) if found[2] else None
    if trials == 0:
        raise InvalidInputError.of("value", "nothing was tried", given=text, allowed="1 trial or more")
    if trials is not None and count > trials:
        raise InvalidInputError.of("value", f"{count} of {trials} is more than all", given=text)
    return ReadValue(Outcome.COUNT, text, count, DIMENSIONLESS, int(trials) if trials is not None else None)


def _whole(part: str, text: str) -> Decimal:
    try:
        quantity = parse_quantity(part, unit="")
    except CoreError as error:
        raise InvalidInputError.from_core("value", error) from error
    number = quantity.value
    if quantity.unit != DIMENSIONLESS:
        raise InvalidInputError.of("value", "a count has no unit", given=text, allowed="a whole number")
    if number != number.to_integral_value() or not 0 <= number <= LONGEST_COUNT:
        raise InvalidInputError.of("value", "a count is a whole number from 0", given=text)
    return Decimal(int(number))


def _number(text: str, unit: str, issue: TargetIssue | None) -> ReadValue:
    try:
        quantity = _quantity(text, unit, issue.unit if issue is not None else None)
    except CoreError as error:
        raise InvalidInputError.from_core(error.where or "value", error) from error
    return ReadValue(Outcome.NUMBER.value, text, quantity.value, quantity.unit)


def _unit_of_plain(unit: str, issue: TargetIssue | None) -> Unit:
    """Return the unit of a number written without one."""
    try:
        return _usual_unit(unit, issue.unit if issue is not None else None)
    except CoreError as error:
        raise InvalidInputError.from_core(error.where or "value", error) from error


@lru_cache(maxsize=1024)
def _usual_unit(unit: str, wanted: str | None) -> Unit:
    return _quantity("0", unit, wanted).unit


def _quantity(text: str, unit: str, wanted: str | None) -> Quantity:
    """Read a quantity given in ``unit``, which must fit ``wanted``; none for a reading without a target."""
    quantity = parse_quantity(text, unit=unit or wanted or None, where="value")
    if wanted is not None and quantity.unit.base != unit_named(wanted).base:
        raise mismatch(quantity.unit, unit_named(wanted), where="unit")
    return quantity


def read_uncertainty(given: Number, unit: Unit, value: Decimal | None = None) -> Decimal:
    """Return a stated expanded uncertainty in ``unit``; text may carry its own unit.

    That of a level may be written in dB, that of a temperature in K, any other as a share of ``value``.
    """
    field = "expanded_uncertainty"
    try:
        if isinstance(given, str) and _PLAIN.fullmatch(given):
            stated = Decimal(given)
        elif isinstance(given, str):
            stated = parse_difference(given, unit, where=field, share_of=value)
        else:
            stated = decimal_of(given, where=field)
    except CoreError as error:
        raise InvalidInputError.from_core(field, error) from error
    if stated < 0:
        raise InvalidInputError.of(field, "an uncertainty is not negative", given=given, allowed="0 or more")
    return stated


def read_coverage_factor(given: Number | None) -> Decimal:
    """Return the stated coverage factor, 2 where none is stated."""
    if given is None or given == "":
        return TWO
    try:
        value = decimal_of(given, where="coverage_factor")
    except CoreError as error:
        raise InvalidInputError.from_core("coverage_factor", error) from error
    if not 0 < value <= 20:
        raise InvalidInputError.of(
            "coverage_factor", "a coverage factor lies above 0", given=given, allowed="above 0, up to 20"
        )
    return value
