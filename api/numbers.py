"""Exact decimals as the JSON numbers of an answer."""

from __future__ import annotations

from decimal import Decimal

from logbook.core.quantities import Unit, convert, unit_named


def number(value: Decimal | str | None) -> float | None:
    """Return a JSON number; null for none. Decimal text of up to 15 digits prints as it was."""
    return None if value is None or value == "" else float(value)


def number_in(value: str, given: str, wanted: str) -> float | None:
    """Return a stored decimal text of one unit as a number in another of the same base."""
    if not value or given == wanted:
        return number(value)
    own: Unit = unit_named(given)
    return float(convert(Decimal(value), own, unit_named(wanted)))
