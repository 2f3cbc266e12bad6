"""Storing many rows of one table in one statement.

The framework builds the text of an insert anew for every few rows, which costs several times what the
database needs to store them. Here a statement is made once and runs down the rows.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Sequence
from datetime import UTC, datetime
from functools import cache
from typing import Any, TypeVar

from django.db import connection, models

Adapter = Callable[[Any], Any]
M = TypeVar("M", bound=models.Model)
# Below it, what surrounds a COPY takes longer than inserting row by row.
WORTH_A_COPY = 5


def next_ids(model: type[models.Model], count: int) -> Sequence[int]:
    """Return ids for new rows. Inside a transaction that may write; one query."""
    table = model._meta.db_table
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT nextval(pg_get_serial_sequence(%s, 'id')) FROM generate_series(1, %s)",
                [f'"{table}"', count],
            )
            return [pk for (pk,) in cursor.fetchall()]
        # Nobody else writes until this transaction ends, so the ids after the last one are free.
        cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
        (last,) = cursor.fetchone() or (0,)
    return range(last + 1, last + 1 + count)


def insert_rows(model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Insert rows given as values of the fields ``names``."""
    columns, adapted = _columns(model, tuple(names)), _adapted(model, names, rows)
    if not adapted:
        return
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql" and len(adapted) >= WORTH_A_COPY:
            _copy(cursor, _quoted(model._meta.db_table), columns, adapted)
        else:
            cursor.executemany(_insert(model, columns), adapted)


def upsert_rows(
    model: type[models.Model],
    names: Sequence[str],
    rows: Iterable[Sequence[Any]],
    *,
    unique: Collection[str],
) -> None:
    """Insert rows; where one with the same values of ``unique`` is there, give it the other values."""
    columns, adapted = _columns(model, tuple(names)), _adapted(model, names, rows)
    if not adapted:
        return
    others = [column for name, column in zip(names, columns, strict=True) if name not in unique]
    place = ", ".join(_columns(model, tuple(unique)))
    news = ", ".join(f"{column} = excluded.{column}" for column in others)
    conflict = f"ON CONFLICT ({place}) DO UPDATE SET {news}"
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql" and len(adapted) >= WORTH_A_COPY:
            _copy_and_merge(cursor, _quoted(model._meta.db_table), columns, adapted, conflict)
        else:
            cursor.executemany(f"{_insert(model, columns)} {conflict}", adapted)


def delete_rows(model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Delete the rows whose fields ``names`` have these values."""
    adapted = _adapted(model, names, rows)
    if not adapted:
        return
    found = " AND ".join(f"{column} = %s" for column in _columns(model, tuple(names)))
    statement = f"DELETE FROM {_quoted(model._meta.db_table)} WHERE {found}"  # noqa: S608 - names of our own tables
    with connection.cursor() as cursor:
        cursor.executemany(statement, adapted)


@cache
def _insert(model: type[models.Model], columns: Sequence[str]) -> str:
    marks = ", ".join(["%s"] * len(columns))
    return f"INSERT INTO {_quoted(model._meta.db_table)} ({', '.join(columns)}) VALUES ({marks})"  # noqa: S608 - names of our own tables


def _copy(cursor: Any, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    def run(sql: str, *_: Any) -> None:
        with connection.wrap_database_errors, cursor.copy(sql) as copy:
            for row in rows:
                copy.write_row(row)

    # So that whoever watches the statements of this connection sees this one too.
    cursor._execute_with_wrappers(f"COPY {table} ({', '.join(columns)}) FROM STDIN", None, False, run)  # noqa: FBT003 - its signature


def _copy_and_merge(
    cursor: Any, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]], conflict: str
) -> None:
    names = ", ".join(columns)
    cursor.execute(f"CREATE TEMPORARY TABLE incoming AS SELECT {names} FROM {table} WITH NO DATA")  # noqa: S608 - names of our own tables
    _copy(cursor, "incoming", columns, rows)
    cursor.execute(f"INSERT INTO {table} ({names}) SELECT {names} FROM incoming {conflict}")  # noqa: S608 - names of our own tables
    cursor.execute("DROP TABLE incoming")


@cache
def _columns(model: type[models.Model], names: tuple[str, ...]) -> tuple[str, ...]:
    fields = {field.attname: field for field in model._meta.concrete_fields}
    return tuple(_quoted(str(fields[name].column)) for name in names)


def _quoted(name: str) -> str:
    return connection.ops.quote_name(name)


def _adapted(
    model: type[models.Model], names: Sequence[str], rows: Iterable[Sequence[Any]]
) -> list[Sequence[Any]]:
    """Return the rows with moments and JSON as the database takes them, one column at a time."""
    columns = list(zip(*rows, strict=True))
    if not columns:
        return []
    for place, adapter in _adapters(model, tuple(names), connection.vendor):
        columns[place] = tuple(map(adapter, columns[place]))
    return list(zip(*columns, strict=True))


@cache
def _adapters(
    model: type[models.Model], names: tuple[str, ...], vendor: str
) -> tuple[tuple[int, Adapter], ...]:
    """Return how the columns that need it are adapted, by their places."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    found = ((place, _adapter_of(fields[name], vendor)) for place, name in enumerate(names))
    return tuple((place, adapter) for place, adapter in found if adapter is not None)


def _adapter_of(field: models.Field[Any, Any], vendor: str) -> Adapter | None:
    if isinstance(field, models.JSONField):
        return _json
    if isinstance(field, models.DateTimeField) and vendor != "postgresql":
        return _moment
    return None


def _json(value: Any) -> str:
    """Write JSON; most of what is kept so is empty."""
    return "{}" if value == {} else "[]" if value == [] else json.dumps(value)


def _moment(value: datetime | None) -> str | None:
    """Write a moment as SQLite keeps it: in UTC, and without saying so."""
    if value is None:
        return None
    if value.tzinfo is not UTC:
        value = value.astimezone(UTC)
    return value.isoformat(" ")[:-6]
