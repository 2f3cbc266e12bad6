"""The outside check values of conformity decisions."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from logbook.core.limits import Limits
from logbook.core.quantities import unit_named

FIXTURE = Path(__file__).parents[3] / "fixtures" / "golden" / "verdict.json"
ENTRIES: dict[str, dict[str, Any]] = {entry["id"]: entry for entry in json.loads(FIXTURE.read_text("utf-8"))}


def within(entry: dict[str, Any], expected: Any, part: str = "") -> Any:
    """Return an expectation with the tolerance its source was printed or computed with."""
    tol = entry["tol"]
    if "rel" in tol:
        return pytest.approx(expected, rel=tol["rel"], abs=0)
    return pytest.approx(expected, abs=tol["abs"] if "abs" in tol else tol[part], rel=0)


def dec(number: float | str | None) -> Decimal | None:
    """Return a number of the fixture as the decimal it was printed as."""
    return None if number is None else Decimal(str(number))


def limits_v(low: Decimal | None, high: Decimal | None, unit: str = "V") -> Limits:
    """Return limits of a number, in volts where nothing else is said."""
    return Limits(kind="number", low=low, high=high, unit=unit_named(unit))
