"""Reading the query string."""

from __future__ import annotations

import re
from datetime import date

from rest_framework.request import Request

from logbook.common.errors import InvalidInputError

LARGEST = 2**63 - 1
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


def needed_text(request: Request, name: str) -> str:
    """Return a parameter that must be there."""
    text = request.query_params.get(name, "")
    if not text.strip():
        raise InvalidInputError.of(name, f"add ?{name}= to the address", code="required")
    return text


def whole_number(request: Request, name: str, *, least: int = 0, most: int = LARGEST) -> int | None:
    """Return a whole number; none when the parameter is absent."""
    text = request.query_params.get(name)
    if text is None:
        return None
    if not (text.isascii() and text.isdigit() and len(text) <= 19 and least <= int(text) <= most):
        allowed = f"{least} to {most}" if most < LARGEST else f"{least} or more"
        raise InvalidInputError.of(name, "this is not a whole number in range", given=text, allowed=allowed)
    return int(text)


def day_asked(request: Request, name: str = "as_of") -> date | None:
    """Return a day; none when the parameter is absent. Whether it is past, the query says."""
    text = request.query_params.get(name)
    if text is None:
        return None
    allowed = "a day such as 2026-05-02"
    if not _DAY.fullmatch(text):
        raise InvalidInputError.of(name, f"{text[:40]!r} is not a day", given=text, allowed=allowed)
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InvalidInputError.of(name, f"there is no day {text}", given=text, allowed=allowed) from error
