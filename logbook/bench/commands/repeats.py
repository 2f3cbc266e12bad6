"""Reads a reading that was repeated: several values of one quantity, and their mean."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Context, Decimal

from logbook.bench.choices import Outcome, TargetKind
from logbook.bench.commands.reading import Number, ReadingInput
from logbook.bench.commands.values import ReadValue, read_value
from logbook.bench.models import TargetIssue
from logbook.common.errors import InvalidInputError
from logbook.core.quantities import Unit, canonical_text, convert

FEWEST = 2
MOST = 1_000
LONGEST = 64
EXACT = Context(prec=120)
# The mean keeps more digits than were typed, but a third of a volt need not fill a page.
MORE_PLACES = 4
FEWEST_DIGITS = 8
# Scripts send the mean as a binary float.
ROUNDING_OF_FLOATS = Decimal("1e-12")
_BETWEEN = re.compile(r"[\n\r;]+|\s+(?=[-+.0-9])")


def repeats_in(text: str) -> tuple[str, ...]:
    """Return the values in a text: one a line, apart by semicolons, or by spaces before a number."""
    return tuple(part.strip() for part in _BETWEEN.split(text) if part.strip())


def check_repeats(repeats: object) -> None:
    """Refuse what is no list of 2 to 1,000 numbers; no repeats at all are fine."""
    allowed = f"{FEWEST} to {MOST} numbers, or none"
    if not isinstance(repeats, list | tuple):
        raise InvalidInputError.of("repeats", "repeats are a list", given=repeats, allowed=allowed)
    if repeats and not FEWEST <= len(repeats) <= MOST:
        message = f"{len(repeats)} {'value is' if len(repeats) == 1 else 'values are'} no repeated reading"
        raise InvalidInputError.of("repeats", message, given=len(repeats), allowed=allowed)
    for place, value in enumerate(repeats, 1):
        if isinstance(value, bool) or not isinstance(value, str | int | float | Decimal):
            raise InvalidInputError.of(
                "repeats", f"repeat {place} is no number", given=value, allowed=allowed
            )


def read_repeated(item: ReadingInput, issue: TargetIssue | None) -> tuple[ReadValue, tuple[Decimal, ...]]:
    """Return the value of a reading, and its repeats in the unit of that value.

    Raises
    ------
    InvalidInputError
        A repeat is no number of that kind, or the value given is not the mean to the digits given.
    """
    if not item.repeats:
        return read_value(item.value, item.unit, issue), ()
    if issue is not None and issue.kind != TargetKind.NUMBER:
        message = f"{issue.target.key} asks for no number, so its reading has no repeats"
        raise InvalidInputError.of("repeats", message, given=len(item.repeats), allowed="a value alone")
    given = None if item.value in ("", None) else read_value(item.value, item.unit, issue)
    if given is not None and given.outcome != Outcome.NUMBER:
        message = f"{given.text!r} is a word; only a number is the mean of repeats"
        raise InvalidInputError.of("value", message, given=given.text, allowed="their mean, or left out")
    read = [_read(place, value, item.unit, issue) for place, value in enumerate(item.repeats, 1)]
    unit = given.unit if given is not None else read[0].unit
    values = tuple(_in_unit(one, unit) for one in read)
    if given is None:
        mean = ReadValue(Outcome.NUMBER, f"mean of {len(values)}", mean_of(values), unit)
        return mean, values
    _check_agrees(given, values)
    return given, values


def _read(place: int, given: Number, unit: str, issue: TargetIssue | None) -> ReadValue:
    try:
        read = read_value(given, unit, issue)
    except InvalidInputError as error:
        problem = error.problems[0]
        message = f"repeat {place}: {problem.message}"
        raise InvalidInputError.of(
            "repeats", message, given=given, allowed=problem.allowed or "a number"
        ) from error
    if read.value is None or read.outcome != Outcome.NUMBER:
        raise InvalidInputError.of("repeats", f"repeat {place} is no number", given=given, allowed="a number")
    return read


def _in_unit(read: ReadValue, unit: Unit) -> Decimal:
    if read.value is None or read.unit.base != unit.base:
        message = f"a repeat in {read.unit.name} cannot be averaged with a value in {unit.name}"
        raise InvalidInputError.of("repeats", message, given=read.text, allowed=f"values in {unit.name}")
    return convert(read.value, read.unit, unit)


def mean_of(values: Sequence[Decimal]) -> Decimal:
    """Return the mean, rounded four places beyond the values and to no fewer than eight digits."""
    mean = _exact_mean(values)
    own = max(0, *(_places(value) for value in values))
    wanted = FEWEST_DIGITS - 1 - mean.adjusted() if mean else 0
    places = max(own + MORE_PLACES, min(wanted, own + FEWEST_DIGITS))
    rounded = mean.quantize(Decimal(1).scaleb(-places), context=EXACT)
    plain = rounded.normalize(EXACT)
    return plain if _places(plain) > own else rounded.quantize(Decimal(1).scaleb(-own), context=EXACT)


def _exact_mean(values: Sequence[Decimal]) -> Decimal:
    total = Decimal(0)
    for value in values:
        total = EXACT.add(total, value)
    return EXACT.divide(total, Decimal(len(values)))


def _places(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return -exponent if isinstance(exponent, int) else 0


def _check_agrees(given: ReadValue, values: Sequence[Decimal]) -> None:
    value, mean = given.value or Decimal(0), _exact_mean(values)
    half_a_digit = Decimal("0.5").scaleb(-_places(value))
    if abs(EXACT.subtract(value, mean)) > max(half_a_digit, abs(mean) * ROUNDING_OF_FLOATS):
        shown = canonical_text(mean_of(values))
        message = (
            f"the value {given.text} is not the mean of its repeats, {shown} {given.unit.symbol}".rstrip()
        )
        raise InvalidInputError.of(
            "value",
            message,
            given=given.text,
            allowed=f"{shown} {given.unit.symbol}".rstrip() + ", or left out",
        )
