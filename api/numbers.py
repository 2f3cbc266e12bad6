"""Exact decimals as the JSON numbers of an answer, and moments as its text."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from logbook.core.quantities import Unit, convert, unit_named


def moment(value: datetime | None) -> str | None:
    """Return a moment as the framework writes it; told here, a list of thousands needs no call back."""
    if value is None:
        return None
    text = value.isoformat()
    return f"{text[:-6]}Z" if text.endswith("+00:00") else text


def number(value: Decimal | str | None) -> float | None:
    """Return a JSON number; null for none. Decimal text of up to 15 digits prints as it was."""
    return None if value is None or value == "" else float(value)


def number_in(value: str, given: str, wanted: str) -> float | None:
    """Return a stored decimal text of one unit as a number in another of the same base."""
    if not value or given == wanted:
        return number(value)
    own: Unit = unit_named(given)
    return float(convert(Decimal(value), own, unit_named(wanted)))
