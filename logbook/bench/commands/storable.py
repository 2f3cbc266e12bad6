"""Refuses, before anything is looked up, what no database here can hold.

One such reading in a list would otherwise fail the whole slice inside the database.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from operator import attrgetter
from typing import Any

from logbook.bench.commands.reading import ReadingInput
from logbook.bench.commands.repeats import check_repeats
from logbook.bench.models import Measurement
from logbook.common import clock
from logbook.common.errors import InvalidInputError

TEXTS = (
    "project",
    "board",
    "target",
    "point",
    "unit",
    "instrument",
    "instrument_range",
    "firmware",
    "place",
    "note",
    "key",
)
KEPT = {field.name: field.max_length or 0 for field in Measurement._meta.fields}
LONGEST = {name: KEPT[name] for name in ("firmware", "place", "note")}
SHORTEST_LIMIT = min(LONGEST.values())
# No database keeps NUL and half a surrogate pair.
_NO_TEXT = re.compile("[\x00\ud800-\udfff]")
TEXTS_OF = attrgetter(*TEXTS)
COMPUTED = {name: KEPT[name] for name in ("value", "expanded_uncertainty", "coverage_factor", "margin")}
LONGEST_CONDITIONS = 2_048
LARGEST_ID = 2**63 - 1


def refusal_of(item: ReadingInput) -> InvalidInputError | None:
    """Return why ``item`` cannot be stored as it was given; none when it can."""
    try:
        if not _are_plain(TEXTS_OF(item)):
            for name in TEXTS:
                _check_text(name, getattr(item, name), LONGEST.get(name))
        if item.repeats != ():
            check_repeats(item.repeats)
        for value in item.repeats:
            _check_text("repeats", str(value))
        _check_time(item.taken_at)
        if item.conditions:
            _check_conditions(item.conditions)
        session = item.bench_session
        if session is not None and not 0 <= session <= LARGEST_ID:
            raise InvalidInputError.of("bench_session", "there is no such bench session", given=session)
    except InvalidInputError as error:
        return error
    return None


def _are_plain(texts: tuple[object, ...]) -> bool:
    """Say at a glance whether nothing here can be refused, which holds for nearly every reading."""
    try:
        whole = "".join(texts)  # type: ignore[arg-type]
    except TypeError:
        return False
    return len(whole) <= SHORTEST_LIMIT and not _NO_TEXT.search(whole)


def _check_text(field: str, text: object, longest: int | None = None) -> None:
    if not isinstance(text, str):
        raise InvalidInputError.of(field, "this is text", given=type(text).__name__, allowed="text")
    if _NO_TEXT.search(text):
        given = ascii(text)[:60]
        raise InvalidInputError.of(field, "this holds a character that is none", given=given, allowed="text")
    if longest is not None and len(text) > longest:
        raise InvalidInputError.of(
            field, f"this has {len(text)} characters", given=text, allowed=f"up to {longest} characters"
        )


def _check_time(taken_at: datetime | None) -> None:
    if taken_at is None:
        return
    if taken_at.tzinfo is None:
        message = "the time does not say in which time zone it is"
        raise InvalidInputError.of(
            "taken_at", message, given=taken_at, allowed="such as 2026-05-02T10:22:00Z"
        )
    if not clock.is_sensible(taken_at):
        message = "this is no time of a reading: is the clock set?"
        raise InvalidInputError.of("taken_at", message, given=taken_at, allowed=clock.SENSIBLE)


def _check_conditions(conditions: Mapping[str, Any]) -> None:
    try:
        text = _as_json(conditions)
    except (TypeError, ValueError, OverflowError) as error:
        message = "the conditions hold something that is no text or plain number"
        raise InvalidInputError.of("conditions", message, given=ascii(conditions)) from error
    if len(text) > LONGEST_CONDITIONS:
        allowed = f"up to {LONGEST_CONDITIONS} characters"
        raise InvalidInputError.of("conditions", "the conditions are too long", given=text, allowed=allowed)
    _check_text("conditions", text)


def _as_json(conditions: Mapping[str, Any]) -> str:
    # sort_keys, because names that are not all text cannot be sorted and are refused that way.
    text = json.dumps(conditions, default=_number_of, allow_nan=False, ensure_ascii=False, sort_keys=True)
    return text.replace("\\u0000", "\0")


def _number_of(value: object) -> float:
    if isinstance(value, Decimal):
        return float(value)
    raise TypeError(type(value).__name__)


def plain_conditions(conditions: Mapping[str, Any]) -> dict[str, Any]:
    """Return conditions as they are kept: JSON knows no decimals."""
    plain: dict[str, Any] = json.loads(_as_json(conditions)) if conditions else {}
    return plain


def check_fits(columns: Mapping[str, Any]) -> None:
    """Refuse numbers with more digits than are kept."""
    for name, longest in COMPUTED.items():
        text = columns[name]
        if len(text) > longest:
            field = "value" if name == "margin" else name
            message = f"the {name.replace('_', ' ')} has more digits than a reading can have"
            raise InvalidInputError.of(field, message, given=text, allowed=f"up to {longest} characters")
