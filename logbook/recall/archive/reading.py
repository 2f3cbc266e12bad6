"""Lines become rows again, each value checked by the field it goes to."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from logbook.recall.archive.format import LONGEST_LINE, data_name, refused
from logbook.recall.archive.lines import Line
from logbook.recall.archive.records import Record
from logbook.recall.archive.unpacking import Opened

# The escape of the character 0, not a backslash that was written before u0000.
_ZERO = re.compile(r"(?<!\\)(?:\\\\)*\\u0000")


def lines_of(found: Opened, name: str, names: frozenset[str]) -> Iterator[tuple[str, Line]]:
    """Yield each line of a record type with the place it stands at."""
    member = data_name(name)
    if member not in found.members:
        raise refused("it is missing", where=member)
    with found.member(member) as stream:
        number = 0
        while text := stream.readline(LONGEST_LINE + 1):
            number += 1
            where = f"{member}, line {number}"
            yield where, _line(text, names, where)
    if number != found.says["counts"].get(name):
        raise refused("the manifest counts other lines", where=member, given=number)


def _line(text: bytes, names: frozenset[str], where: str) -> Line:
    if len(text) > LONGEST_LINE:
        raise refused("the line is too long", where=where, allowed=f"up to {LONGEST_LINE:,} bytes")
    try:
        line = json.loads(text.decode(), parse_constant=_no_constant)
        if b"\\u" in text:
            _refuse_strange(line)
    except (ValueError, RecursionError) as error:
        raise refused(f"it is no JSON this version reads ({error})", where=where) from error
    if not isinstance(line, dict) or line.keys() != names:
        given = sorted(set(line) ^ names) if isinstance(line, dict) else type(line).__name__
        raise refused("it has other fields than version 1", where=where, given=given)
    return line


def _no_constant(text: str) -> None:
    message = f"{text} is no number"
    raise ValueError(message)


def _refuse_strange(line: Any) -> None:
    """Refuse what no database keeps: the character 0, and halves of characters."""
    text = json.dumps(line, ensure_ascii=False)
    text.encode()
    if "\\u0000" in text:
        message = "the character 0"
        raise ValueError(message)


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        message = "not a number"
        raise TypeError(message)
    return float(value)


def _typed(value: Any, kind: type[Any]) -> Any:
    if type(value) is not kind:
        message = f"not of the type {kind.__name__}"
        raise TypeError(message)
    return value


def _moment(value: Any) -> datetime:
    moment = datetime.fromisoformat(_typed(value, str))
    if moment.tzinfo is None:
        message = "a moment without its zone"
        raise ValueError(message)
    return moment


READERS: tuple[tuple[type[models.Field[Any, Any]], Callable[[Any], Any]], ...] = (
    (models.DateTimeField, _moment),
    (models.DateField, lambda value: date.fromisoformat(_typed(value, str))),
    (models.BooleanField, lambda value: _typed(value, bool)),
    (models.FloatField, _number),
    (models.IntegerField, lambda value: _typed(value, int)),
    (models.JSONField, lambda value: value),
    (models.CharField, lambda value: _typed(value, str)),
    (models.TextField, lambda value: _typed(value, str)),
)


def value_of(field: models.Field[Any, Any], value: Any) -> Any:
    """Return a value as the field keeps it; what the field does not allow is an error."""
    if value is None:
        if not field.null:
            message = "nothing is given"
            raise ValueError(message)
        return None
    found = next(read for kind, read in READERS if isinstance(field, kind))(value)
    if found not in field.empty_values:
        field.validate(found, None)
    if found not in ("", [], {}):
        field.run_validators(found)
    return found


def plain_values(record: Record, line: Line, where: str) -> dict[str, Any]:
    """Return the values of a line that name no other row."""
    values = {}
    for field in record.fields:
        if field.is_relation:
            continue
        try:
            values[field.attname] = value_of(field, line[field.name])
        except ValidationError as error:
            message = f"{field.name}: {' '.join(error.messages)}"
            raise refused(message, where=where, given=line[field.name]) from error
        except (TypeError, ValueError, OverflowError) as error:
            raise refused(f"{field.name}: {error}", where=where, given=line[field.name]) from error
    return values
