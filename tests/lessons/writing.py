"""Lessons on the small bench, for tests of every layer; all invented."""

from __future__ import annotations

from typing import Any

from logbook.lessons.commands import record_lesson
from logbook.lessons.models import Lesson
from tests.builders import Bench

ABOUT: dict[str, Any] = {
    "discipline": "circuit",
    "moment": "drawing a sheet",
    "firmness": "must",
    "subsystem_kinds": ["power"],
}


def write(bench: Bench, key: str = "TRN-L1", *, values: dict[str, Any] | None = None, **given: Any) -> Lesson:
    """Record a shared lesson asked of every project with a subsystem of kind power, if not said otherwise."""
    asked: dict[str, Any] = {
        "actor": bench.actor,
        "project": bench.project,
        "key": key,
        "rule": "compute dividers as fitted",
        "is_shared": True,
    }
    return record_lesson(**asked | given, values=ABOUT | (values or {}))
