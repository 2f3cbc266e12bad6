"""Turns what was asked into core values, and what came out into what is kept."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Context, Decimal
from typing import Any

from logbook.calculations.choices import Method
from logbook.calculations.models import Calculation
from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError, UnitMismatchError
from logbook.core.formulas import FUNCTION_NAMES, parse_formula
from logbook.core.quantities import as_unit, canonical_text, decimal_of, without_trailing_zeros
from logbook.core.tolerance import (
    Band,
    Extreme,
    MonteCarlo,
    Part,
    StackUp,
    UnitCheck,
    check_units,
    linear_misfit,
    parse_part,
    stack_up,
    why_not_linear,
)

MOST_PARTS = 50
KEPT_DIGITS = 12
# Of a double's 15 to 17 digits, those that its last few roundings leave alone.
SURE_DIGITS = 14
_NAME = re.compile(r"[^\W\d]\w{0,39}")
_TAKEN = frozenset({*FUNCTION_NAMES, "pi"})
_OWN_FIELDS = frozenset({"formula", "unit", "samples", "seed", "parts"})


@dataclass(frozen=True)
class StackAsked:
    """A stack-up as it is asked for; ``parts`` are as the calculator takes them."""

    formula: str
    parts: Mapping[str, Any]
    unit: str = ""
    samples: int = 200_000
    seed: int = 1


def asked_of(calculation: Calculation) -> StackAsked:
    """Return what a saved calculation asks."""
    return StackAsked(
        formula=calculation.formula,
        parts=calculation.parts,
        unit=calculation.unit,
        samples=calculation.samples,
        seed=calculation.seed,
    )


def read_parts(given: Mapping[str, Any]) -> list[Part]:
    """Read the parts; an error names the part it is about.

    Raises
    ------
    InvalidInputError
        There are too many, a name cannot stand in a formula, or a part cannot be read.
    """
    if len(given) > MOST_PARTS:
        raise InvalidInputError.of(
            "parts", f"{len(given)} parts are too many", given=len(given), allowed=f"up to {MOST_PARTS}"
        )
    return [_read_part(name, part) for name, part in given.items()]


def _read_part(name: str, given: Any) -> Part:
    if not _NAME.fullmatch(name) or name in _TAKEN:
        allowed = "letters, digits and underscore, up to 40; no name of a function"
        raise InvalidInputError.of("parts", "this cannot name a part", given=name, allowed=allowed)
    try:
        return parse_part(name, given)
    except CoreError as error:
        raise InvalidInputError.from_core(f"parts.{name}", error) from error


def computed(asked: StackAsked) -> StackUp:
    """Compute a stack-up; hostile formulas are refused before anything is computed.

    Raises
    ------
    InvalidInputError
        Naming the field that cannot be accepted.
    """
    parts = read_parts(asked.parts)
    try:
        return stack_up(asked.formula, parts, unit=asked.unit, samples=asked.samples, seed=asked.seed)
    except CoreError as error:
        field = error.where if error.where in _OWN_FIELDS else ""
        if error.where in asked.parts:
            field = f"parts.{error.where}"
        raise InvalidInputError.from_core(field or "formula", error) from error


@dataclass(frozen=True)
class Soundness:
    """What has to be said beside the bands: why the root sum of squares does not hold, whether units fit."""

    linear_problem: str
    units_checked: bool
    units_reason: str


def soundness_found(found: StackUp) -> Soundness:
    """Return what has to be said beside a stack-up that was computed."""
    return Soundness(found.linear_problem, found.units.is_checked, found.units.reason)


def soundness_of(calculation: Calculation) -> Soundness:
    """Return what has to be said beside the kept bands; only slopes and units are worked out anew."""
    parts = read_parts(calculation.parts)
    formula, unit = parse_formula(calculation.formula), as_unit(calculation.unit)
    nominals = {part.name: part.nominal for part in parts}
    moving = [part.name for part in parts if part.half_width > 0]
    slopes = {name: float(slope) for name, slope in formula.gradient(nominals, moving).items()}
    low, high = (
        float(calculation.bands[Method.EXTREME][end]) * float(unit.factor) for end in ("low", "high")
    )
    extreme = Extreme(low, high, exact=calculation.bands["exact"])
    misfit = linear_misfit(float(formula.evaluate(nominals)), slopes, parts, extreme)
    try:
        units = check_units(formula, {part.name: part.unit for part in parts}, unit)
    except UnitMismatchError as error:
        # Kept before units were checked: its numbers stand as they were computed, and the page says so.
        units = UnitCheck(is_checked=False, reason=error.message.rstrip("."))
    return Soundness(why_not_linear(misfit, extreme), units.is_checked, units.reason)


def kept_parts(given: Mapping[str, Any]) -> dict[str, Any]:
    """Return the parts as they are kept: every number as its digits."""
    return {
        name: _kept(part if isinstance(part, Mapping) else {"nominal": part}) for name, part in given.items()
    }


def _kept(value: Any) -> Any:
    if isinstance(value, Mapping):
        present = {name: _kept(one) for name, one in value.items()}
        return {name: one for name, one in present.items() if one not in (None, "")}
    if value is None or isinstance(value, str):
        return value
    return canonical_text(decimal_of(value))


def kept_bands(found: StackUp) -> dict[str, Any]:
    """Return what a stack-up came to as it is kept: decimal text in its unit."""
    bands: dict[str, Any] = {method: _ends(getattr(found, method)) for method in Method.values}
    bands[Method.EXTREME] = _outward_ends(found.extreme)
    return {
        "nominal": _text(found.nominal),
        **bands,
        "exact": found.extreme.exact,
        "shares": {name: _text(share, 6) for name, share in found.shares.items()},
    }


def _ends(band: Extreme | Band | MonteCarlo) -> dict[str, str]:
    return {"low": _text(band.low), "high": _text(band.high)}


def _outward_ends(band: Extreme) -> dict[str, str]:
    """Round the extremes outwards; what only binary rounding put there (5.2500000000000004) is left out."""
    ends = {"low": (band.low, ROUND_FLOOR), "high": (band.high, ROUND_CEILING)}
    return {
        end: canonical_text(
            without_trailing_zeros(
                Context(prec=KEPT_DIGITS, rounding=rounding).plus(Decimal(f"{number:.{SURE_DIGITS}g}"))
            )
        )
        for end, (number, rounding) in ends.items()
    }


def _text(number: float, digits: int = KEPT_DIGITS) -> str:
    return canonical_text(Decimal(f"{number:.{digits}g}"))
