"""How rows are named in lines: by what people call them, or by their number in their own file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import models

from logbook.accounts.models import User
from logbook.recall.archive.records import RECORDS, Record

Name = Any


def as_key(name: Name) -> Name:
    """Return a name from a line as something that can be looked up."""
    return tuple(as_key(part) for part in name) if isinstance(name, list) else name


def record_of(model: type[models.Model]) -> Record:
    """Return the record type whose lines another line names."""
    return TARGETS[model]


# A line names the project itself and any other one in the same way.
TARGETS: Mapping[type[models.Model], Record] = {
    record.model: record for record in reversed(RECORDS) if not record.only
}
NAMED: frozenset[type[models.Model]] = frozenset(
    one.related_model
    for record in RECORDS
    for one in (*record.fields, *record.lists)
    if isinstance(one.related_model, type) and one.related_model is not User
)
