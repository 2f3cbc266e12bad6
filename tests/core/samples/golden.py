"""Published values of `fixtures/golden/`, each compared with the tolerance printed beside it."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).parents[3] / "fixtures" / "golden"


@cache
def entries(topic: str) -> dict[str, dict[str, Any]]:
    """All entries of one file by their id."""
    rows = json.loads((FOLDER / f"{topic}.json").read_text(encoding="utf-8"))
    return {row["id"]: row for row in rows}


def of_kind(topic: str, *kinds: str) -> list[Any]:
    """The entries of some kinds as test parameters named by their id."""
    found = [row for row in entries(topic).values() if row["calc"] in kinds]
    assert found
    return [pytest.param(row, id=row["id"]) for row in found]


def agrees(entry: dict[str, Any], actual: Any) -> bool:
    """Whether a number, a list or a dictionary of numbers agrees with the entry's expected values."""
    return _agrees(entry["expected"], actual, entry["tol"])


def _agrees(expected: Any, actual: Any, tolerance: dict[str, Any]) -> bool:
    if isinstance(expected, dict):
        return all(
            _agrees(value, actual[name], tolerance.get(name, tolerance)) for name, value in expected.items()
        )
    if isinstance(expected, list):
        return all(_agrees(e, a, tolerance) for e, a in zip(expected, actual, strict=True))
    return _number_agrees(expected, actual, tolerance)


def _number_agrees(expected: Any, actual: Any, tolerance: Any) -> bool:
    if not isinstance(tolerance, dict):
        return abs(actual - expected) <= tolerance
    if tolerance.get("exact"):
        return bool(actual == expected)
    bounds = {name: tolerance.get(name, 0.0) for name in ("rel", "abs")}
    return bool(actual == pytest.approx(expected, **bounds))
