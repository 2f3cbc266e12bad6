"""Rows become lines of JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

from django.db import models

from logbook.accounts.models import User
from logbook.common.errors import DomainError
from logbook.projects.models import Project
from logbook.recall.archive.naming import Name
from logbook.recall.archive.records import RECORDS, Record
from logbook.recall.archive.records.record import NUMBER, OBJECT

Line = dict[str, Any]
PIECE = 1_000


class Writer:
    """Turns the rows of one project into lines, record type after record type, and remembers their names."""

    def __init__(self, project: Project) -> None:
        self.project = project
        self.people: set[str] = set()
        self._usernames = dict(User.objects.values_list("pk", "username"))
        self._names: dict[type[models.Model], dict[int, Name]] = {}
        self._kinds = {record.kind: record for record in RECORDS if not record.only}

    def lines(self, record: Record) -> Iterator[Line]:
        """Yield the lines of a record type, in the order of its rows."""
        names = self._names.setdefault(record.model, {})
        listed = [one.name for one in record.lists]
        rows = record.rows_of(self.project).prefetch_related(*listed).iterator(chunk_size=PIECE)
        for number, row in enumerate(rows, 1):
            line: Line = {one.name: self._value(record, one, row) for one in record.fields}
            line |= {one.name: self._list(row, one.name) for one in record.lists}
            if record.names_object:
                line[OBJECT] = self._object(row)
            if not record.key:
                line[NUMBER] = number
            parts = [line[part] for part in record.key]
            names[row.pk] = (parts[0] if len(parts) == 1 else parts) if parts else number
            yield line

    def _value(self, record: Record, field: models.Field[Any, Any], row: models.Model) -> Any:
        value = getattr(row, field.attname)
        if value is None:
            return None
        if not field.is_relation:
            return plain(value)
        if field.related_model is User:
            return self._person(value)
        if (name := self._name(field.related_model, value)) is not None:
            return name
        if field.name in record.outside or field.related_model is record.model:
            return self._late(record, field, value)
        message = f"{record.kind} {row.pk} names a {field.name} that is not of this project"
        raise DomainError(message)

    def _late(self, record: Record, field: models.Field[Any, Any], pk: int) -> Name:
        """Return the name of a row further down in the same file; nothing for one of another project."""
        if field.name in record.outside:
            return None
        late = record.model._default_manager.get(pk=pk)
        parts = [getattr(late, part) for part in record.key]
        return parts[0] if len(parts) == 1 else parts

    def _name(self, model: Any, pk: int) -> Name:
        if model is Project and pk == self.project.pk:
            return self.project.slug
        return self._names.get(model, {}).get(pk)

    def _list(self, row: models.Model, name: str) -> list[Name]:
        found = getattr(row, name).all()
        if found.model is User:
            return sorted(self._person(one.pk) for one in found)
        return sorted((self._name(found.model, one.pk) for one in found), key=json.dumps)

    def _person(self, pk: int) -> str:
        name = self._usernames[pk]
        self.people.add(name)
        return name

    def _object(self, row: Any) -> Name:
        record = self._kinds.get(row.kind)
        return None if record is None else self._name(record.model, row.object_id)


def plain(value: Any) -> Any:
    """Return a value as JSON has it: moments in UTC, days as text."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    return value


def written(line: Line) -> bytes:
    """Return a line as bytes, the same for the same content."""
    text = json.dumps(line, ensure_ascii=False, sort_keys=True, allow_nan=False, separators=(",", ":"))
    return text.encode() + b"\n"
