"""When something happened to a board."""

from __future__ import annotations

from datetime import datetime

from logbook.common.errors import InvalidInputError


def not_in_future(field: str, given: datetime | None, moment: datetime) -> datetime:
    """Return the moment given, or ``moment`` where none was; refuse what has not happened yet."""
    if given is not None and given > moment:
        raise InvalidInputError.of(
            field, "this lies in the future", given=given, allowed=f"up to {moment:%Y-%m-%d %H:%M}"
        )
    return given or moment
