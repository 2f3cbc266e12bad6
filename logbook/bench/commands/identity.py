"""What makes a reading the same reading when it is sent again."""

from __future__ import annotations

import hashlib
import json
import uuid
from datetime import UTC, datetime

from logbook.bench.commands.reading import ReadingInput
from logbook.common.errors import InvalidInputError

LONGEST_KEY = 80
_ENCODER = json.JSONEncoder(sort_keys=True, ensure_ascii=False, default=str)


def key_of(item: ReadingInput, *, identity_required: bool) -> str:
    """Return the client's key, or the SHA-256 of what identifies the reading.

    A single reading with neither key nor time is always a new one; in a list that is refused, because
    sending the list again would store it twice.
    """
    if item.key:
        if len(item.key) > LONGEST_KEY:
            raise InvalidInputError.of(
                "key", "the key is too long", given=item.key, allowed=f"up to {LONGEST_KEY} characters"
            )
        return item.key
    if item.taken_at is not None:
        parts = [
            item.board,
            item.target,
            item.point,
            _utc(item.taken_at),
            str(item.value),
            item.unit,
            item.instrument,
            *map(str, item.repeats),
        ]
        return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()
    if identity_required:
        message = "a reading in a list needs a key or taken_at, so that sending it again stores nothing twice"
        raise InvalidInputError.of("key", message, allowed="key or taken_at", code="required")
    return str(uuid.uuid4())


def _utc(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat()


def content_digest_of(item: ReadingInput) -> str:
    """Return the SHA-256 of everything the reading says, for comparing a repeat with the first."""
    content = {
        "board": item.board,
        "target": item.target,
        "point": item.point,
        "value": str(item.value),
        "unit": item.unit,
        "expanded_uncertainty": _or_empty(item.expanded_uncertainty),
        "coverage_factor": _or_empty(item.coverage_factor),
        "taken_at": _utc(item.taken_at) if item.taken_at else "",
        "instrument": item.instrument,
        "instrument_range": item.instrument_range,
        "bench_session": _or_empty(item.bench_session),
        "firmware": item.firmware,
        "place": item.place,
        "conditions": dict(item.conditions),
        "note": item.note,
    }
    if item.repeats:
        # Only then, so that what was recorded without repeats keeps the digest it has.
        content["repeats"] = [str(value) for value in item.repeats]
    return hashlib.sha256(_ENCODER.encode(content).encode()).hexdigest()


def _or_empty(value: object) -> str:
    return "" if value is None else str(value)
