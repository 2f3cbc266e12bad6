"""One reading of a request, from JSON to what the command takes.

Written by hand and not as a declared shape: lists of ten thousand pass through here.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import fields
from datetime import datetime
from decimal import Decimal
from typing import Any

from api.shapes import LARGEST_ID, moment_of, told
from logbook.bench.commands import ReadingInput
from logbook.common.errors import FieldProblem, InvalidInputError

FIELDS = tuple(field.name for field in fields(ReadingInput))
NEEDED = ("project", "board", "value")
_NEEDED = frozenset(NEEDED)
LONGEST_TEXT = {
    "project": 60,
    "board": 40,
    "target": 30,
    "point": 60,
    "unit": 24,
    "instrument": 60,
    "instrument_range": 60,
    "firmware": 120,
    "place": 200,
    "note": 20_000,
    "key": 80,
}
_OTHERS = frozenset(FIELDS) - LONGEST_TEXT.keys()
_MAY_BE_NULL = frozenset(FIELDS) - frozenset(NEEDED)
LONGEST_NUMBER = 64
# The command says how few are no repeats; here only what would be read for nothing is stopped.
MOST_REPEATS = 1_000
LARGEST_CONDITIONS = 2_048
# No database keeps NUL and half a surrogate pair.
_NOT_TEXT = re.compile("[\x00\ud800-\udfff]")


def reading_of(item: object) -> ReadingInput:
    """Return the reading, or raise naming every field whose shape is wrong."""
    if type(item) is dict and (values := _plain(item)) is not None:
        return ReadingInput.of(values)
    return _checked(item)


def _plain(item: dict[str, Any]) -> dict[str, Any] | None:
    """Return the fields where all are as they should be, which is told at a glance; otherwise nothing."""
    values: dict[str, Any] = {}
    texts = []
    for name, given in item.items():
        longest = LONGEST_TEXT.get(name)
        if longest is not None and type(given) is str:
            if len(given) > longest:
                return None
            texts.append(given)
            values[name] = given
        elif given is None and name in _MAY_BE_NULL:
            continue
        elif name not in _OTHERS:
            return None
        else:
            try:
                values[name] = _read(name, given)
            except ValueError:
                return None
    whole = "".join(texts)
    is_text = (whole.isascii() and "\x00" not in whole) or not _NOT_TEXT.search(whole)
    return values if is_text and values.keys() >= _NEEDED else None


def _checked(item: object) -> ReadingInput:
    """Return the reading, having looked at each field by itself."""
    if not isinstance(item, Mapping):
        message = "a reading is a JSON object"
        raise InvalidInputError.of("", message, given=told(item), allowed=", ".join(FIELDS))
    problems: list[FieldProblem] = []
    values: dict[str, Any] = {}
    for name, given in item.items():
        if given is None and not _is_needed(name, item):
            continue
        try:
            values[name] = _read(name, given)
        except ValueError as error:
            allowed, code = (", ".join(FIELDS), "unknown") if name not in FIELDS else ("", "invalid")
            problems.append(FieldProblem(told(name), str(error), told(given), allowed, code))
    problems += [
        FieldProblem(name, "this field is missing", code="required")
        for name in NEEDED
        if name not in item and _is_needed(name, item)
    ]
    if problems:
        summary = "; ".join(f"{one.field}: {one.message}" for one in problems)
        raise InvalidInputError(summary, problems=problems)
    return ReadingInput(**values)


def _is_needed(name: str, item: Mapping[str, Any]) -> bool:
    """Say whether a reading must carry a field; the value of repeats is their mean."""
    return name in NEEDED and not (name == "value" and item.get("repeats"))


def _read(name: str, given: Any) -> Any:
    """Return the value of one field; a ``ValueError`` says what is wrong with its shape."""
    if name in LONGEST_TEXT:
        return _text(given, LONGEST_TEXT[name])
    if name == "value":
        return given if isinstance(given, bool) else _number(given)
    if name in ("expanded_uncertainty", "coverage_factor"):
        return _number(given)
    if name == "repeats":
        return _repeats(given)
    if name == "taken_at":
        return _moment(given)
    if name == "bench_session":
        return _session(given)
    if name == "conditions":
        return _conditions(given)
    raise ValueError("this is not a field of a reading")


def _text(given: Any, longest: int) -> str:
    if not isinstance(given, str):
        raise ValueError("this is not text; put it in quotation marks")
    if _NOT_TEXT.search(given):
        raise ValueError("this holds a character that is not text")
    if len(given) > longest:
        raise ValueError(f"this has {len(given)} characters; up to {longest} are kept")
    return given


def _number(given: Any) -> str | int | Decimal:
    if isinstance(given, str):
        return _text(given, LONGEST_NUMBER)
    if isinstance(given, bool) or not isinstance(given, int | Decimal):
        raise ValueError("this is neither a number nor text")
    return given


def _repeats(given: Any) -> tuple[str | int | Decimal, ...]:
    if not isinstance(given, list):
        raise ValueError("repeats are a list of numbers")
    if len(given) > MOST_REPEATS:
        raise ValueError(f"{len(given)} repeats are too many; up to {MOST_REPEATS} are kept")
    return tuple(_number(one) for one in given)


def _moment(given: Any) -> datetime:
    return moment_of(given)


def _session(given: Any) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or not 0 < given <= LARGEST_ID:
        raise ValueError("this is not the number of a bench session")
    return given


def _conditions(given: Any) -> dict[str, Any]:
    """Return plain JSON values: exact decimals would not survive the table's JSON column."""
    if not isinstance(given, Mapping):
        raise ValueError('conditions are an object such as {"ambient_c": 23}')
    try:
        text = json.dumps(given, default=float, allow_nan=False)
    except (ValueError, OverflowError):
        raise ValueError("conditions hold a number that is too large") from None
    if len(text) > LARGEST_CONDITIONS:
        raise ValueError(f"conditions are {len(text)} characters long; up to {LARGEST_CONDITIONS} are kept")
    if "\\u0000" in text or re.search(r"\\ud[89a-f]", _paired(text)):
        raise ValueError("conditions hold a character that is not text")
    plain: dict[str, Any] = json.loads(text)
    return plain


def _paired(text: str) -> str:
    """Drop whole surrogate pairs, which JSON writes for characters beyond U+FFFF."""
    return re.sub(r"\\ud[89ab][0-9a-f]{2}\\ud[c-f][0-9a-f]{2}", "", text)
