"""Published cases of tolerance stack-ups, and their boxes as parts."""

from __future__ import annotations

from typing import Any

from logbook.core.tolerance import Part
from tests.core.samples.golden import agrees, entries, of_kind

__all__ = ["agrees", "cases", "entry", "parts_of"]


def cases(*kinds: str) -> list[Any]:
    """The entries of some kinds as test parameters."""
    return of_kind("tolerance", *kinds)


def entry(name: str) -> dict[str, Any]:
    """One entry by its id."""
    return entries("tolerance")[name]


def parts_of(case: dict[str, Any]) -> list[Part]:
    """The box of an entry as parts."""
    return [Part(name, *box) for name, box in case["inputs"]["vars"].items()]
