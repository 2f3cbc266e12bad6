"""Turns what was asked into core values, and what came out into what is kept."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from logbook.calculations.choices import Method
from logbook.calculations.models import Calculation
from logbook.common.errors import InvalidInputError
from logbook.core.errors import CoreError
from logbook.core.formulas import FUNCTION_NAMES
from logbook.core.quantities import canonical_text, decimal_of
from logbook.core.tolerance import Band, Extreme, MonteCarlo, Part, StackUp, parse_part, stack_up

MOST_PARTS = 50
MOST_SAMPLES = 2_000_000
KEPT_DIGITS = 12
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
    if asked.samples > MOST_SAMPLES:
        raise InvalidInputError.of(
            "samples", "these are too many samples", given=asked.samples, allowed=f"up to {MOST_SAMPLES}"
        )
    parts = read_parts(asked.parts)
    try:
        return stack_up(asked.formula, parts, unit=asked.unit, samples=asked.samples, seed=asked.seed)
    except CoreError as error:
        field = error.where if error.where in _OWN_FIELDS else ""
        if error.where in asked.parts:
            field = f"parts.{error.where}"
        raise InvalidInputError.from_core(field or "formula", error) from error


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
    return {
        "nominal": _text(found.nominal),
        **bands,
        "exact": found.extreme.exact,
        "shares": {name: _text(share, 6) for name, share in found.shares.items()},
    }


def _ends(band: Extreme | Band | MonteCarlo) -> dict[str, str]:
    return {"low": _text(band.low), "high": _text(band.high)}


def _text(number: float, digits: int = KEPT_DIGITS) -> str:
    return canonical_text(Decimal(f"{number:.{digits}g}"))
