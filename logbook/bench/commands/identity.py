"""What makes a reading the same reading when it is sent again."""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from datetime import UTC, datetime

from logbook.bench.commands.reading import ReadingInput
from logbook.common.errors import InvalidInputError

LONGEST_KEY = 80
# Characters JSON writes as they are.
_PLAIN = re.compile(r'[^"\\\x00-\x1f\ud800-\udfff]*')
# The names in the order in which `_content` writes them, which is sorted.
_WRITTEN = (
    '{"bench_session": "%s", "board": "%s", "conditions": {}, "coverage_factor": "%s", '
    '"expanded_uncertainty": "%s", "firmware": "%s", "instrument": "%s", "instrument_range": "%s", '
    '"note": "%s", "place": "%s", "point": "%s", "taken_at": "%s", "target": "%s", "unit": "%s", '
    '"value": "%s"}'
)
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
    return hashlib.sha256((_plain_content(item) or _content(item)).encode()).hexdigest()


def _plain_content(item: ReadingInput) -> str:
    """Return what `_content` does, written at once; empty where it holds more than plain texts."""
    if item.repeats or item.conditions:
        return ""
    taken_at = item.taken_at
    texts = (
        _or_empty(item.bench_session),
        item.board,
        _or_empty(item.coverage_factor),
        _or_empty(item.expanded_uncertainty),
        item.firmware,
        item.instrument,
        item.instrument_range,
        item.note,
        item.place,
        item.point,
        (taken_at.isoformat() if taken_at.tzinfo is UTC else _utc(taken_at)) if taken_at else "",
        item.target,
        item.unit,
        str(item.value),
    )
    return _WRITTEN % texts if _PLAIN.fullmatch("".join(texts)) else ""


def _content(item: ReadingInput) -> str:
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
    return _ENCODER.encode(content)


def _or_empty(value: object) -> str:
    return "" if value is None else str(value)
