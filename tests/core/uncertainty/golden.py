"""The outside check values of measurement uncertainty."""

import json
from pathlib import Path
from typing import Any

import pytest

FIXTURE = Path(__file__).parents[3] / "fixtures" / "golden" / "uncertainty.json"
ENTRIES: dict[str, dict[str, Any]] = {entry["id"]: entry for entry in json.loads(FIXTURE.read_text("utf-8"))}


def within(entry: dict[str, Any], expected: Any, part: str = "") -> Any:
    """Return an expectation with the tolerance its source was printed or computed with."""
    tol = entry["tol"]
    if "rel" in tol:
        return pytest.approx(expected, rel=tol["rel"], abs=0)
    return pytest.approx(expected, abs=tol["abs"] if "abs" in tol else tol[part], rel=0)
