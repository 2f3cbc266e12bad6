"""Queries whose SQL is written once and asked many times.

The framework writes the text of a query anew each time it is asked, which takes several times what a small
one costs the database. Rule: only for queries on the way of a reading, and for the wide ones from which
states are derived; everything else asks plainly.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache, lru_cache
from typing import Any, TypeVar

from django.db import connection, models
from django.db.models import QuerySet
from django.db.models.base import ModelState
from django.db.models.expressions import Func, RawSQL
from django.db.models.lookups import Lookup

Row = tuple[Any, ...]
M = TypeVar("M", bound=models.Model)


@dataclass(frozen=True)
class Place:
    """Where the value of a question goes: the number of the argument."""

    number: int


@dataclass(frozen=True)
class Written:
    """A query as one kind of database takes it."""

    sql: str
    parameters: tuple[Any, ...]
    readers: tuple[tuple[int, Callable[[Any], Any]], ...]


def given(number: int) -> RawSQL:
    """Stand for one argument."""
    return RawSQL("%s", [Place(number)])


def ids_given(number: int) -> RawSQL:
    """Stand for an argument made by `listed` of ids."""
    if connection.vendor == "postgresql":
        return RawSQL("SELECT jsonb_array_elements_text(%s::jsonb)::bigint", [Place(number)])
    return RawSQL("SELECT value FROM json_each(%s)", [Place(number)])


def texts_given(number: int) -> RawSQL:
    """Stand for an argument made by `listed` of texts."""
    return _texts_of(Place(number))


def any_of(texts: Iterable[str]) -> RawSQL:
    """Return texts to be looked up in a query asked once; thousands of parameters would cost more."""
    return _texts_of(listed(texts))


def _texts_of(parameter: Place | str) -> RawSQL:
    if connection.vendor == "postgresql":
        return RawSQL("SELECT jsonb_array_elements_text(%s::jsonb)", [parameter])
    return RawSQL("SELECT value FROM json_each(%s)", [parameter])


@models.ForeignKey.register_lookup
@models.Field.register_lookup
class Among(Lookup):
    """``__among``: as ``__in``, for what `ids_given`, `texts_given` and `any_of` stand for.

    PostgreSQL takes a list of unknown length in a subquery for a hundred rows and reads the whole table;
    as an array it goes by the index.
    """

    lookup_name = "among"

    def as_sql(self, compiler: Any, connection: Any) -> Any:
        """Return the condition as a subquery."""
        return self._written(compiler, connection, "IN {}")

    def as_postgresql(self, compiler: Any, connection: Any) -> Any:
        """Return the condition as an array."""
        return self._written(compiler, connection, "= ANY(ARRAY{})")

    def _written(self, compiler: Any, connection: Any, condition: str) -> Any:
        left, left_parameters = self.process_lhs(compiler, connection)
        right, right_parameters = self.process_rhs(compiler, connection)
        return f"{left} {condition.format(right)}", (*left_parameters, *right_parameters)


class Moment(Func):
    """A column of moments of which many are the same: each is read once.

    SQLite reads a column by its declared type; that of an expression is left to the reader here.
    """

    template = "(%(expressions)s || '')"
    output_field = models.DateTimeField()

    def as_postgresql(self, compiler: Any, connection: Any, **extra: Any) -> Any:
        """Return the column as it is."""
        return compiler.compile(self.source_expressions[0])


def listed(values: Iterable[Any]) -> str:
    """Return ids or texts as one parameter, so that the SQL is the same for any number of them."""
    return json.dumps(list(values))


@cache
def columns_of(model: type[models.Model]) -> tuple[str, ...]:
    """Return the fields of a row, in the order in which `row_of` takes their values."""
    return tuple(field.attname for field in model._meta.concrete_fields)


def row_of(model: type[M], values: Sequence[Any]) -> M:
    """Return the row of a table with these values, as if it had been read by the framework."""
    row = model.__new__(model)
    row.__dict__.update(zip(columns_of(model), values, strict=True))
    row._state = ModelState()
    row._state.adding, row._state.db = False, connection.alias
    return row


class Prepared:
    """A query of ``values_list``, asked with arguments in the order of their `Place` numbers."""

    def __init__(self, build: Callable[[], QuerySet[Any, Any]]) -> None:
        self._build = build
        self._written: dict[str, Written] = {}

    def rows(self, *arguments: Any) -> list[Row]:
        """Return the rows found. One query."""
        written = self._written.get(connection.vendor)
        if written is None:
            written = self._written[connection.vendor] = _written(self._build())
        parameters = [arguments[one.number] if isinstance(one, Place) else one for one in written.parameters]
        with connection.cursor() as cursor:
            cursor.execute(written.sql, parameters)
            rows: list[Row] = cursor.fetchall()
        return _read(rows, written.readers) if rows else rows


def _written(queryset: QuerySet[Any, Any]) -> Written:
    compiler = queryset.query.get_compiler(connection=connection)
    sql, parameters = compiler.as_sql()
    readers = []
    for place, (expression, _, _) in enumerate(compiler.select or ()):
        reader = _reader_of(expression)
        if reader is not None:
            readers.append((place, reader))
    return Written(sql, tuple(parameters), tuple(readers))


def _reader_of(expression: Any) -> Callable[[Any], Any] | None:
    """Return how a value of a column is read; nothing where it comes as it is meant."""
    if connection.vendor != "postgresql" and isinstance(expression.output_field, models.DateTimeField):
        return _moment
    converters = [
        *connection.ops.get_db_converters(expression),
        *expression.get_db_converters(connection),
    ]
    if not converters:
        return None

    def read(value: Any) -> Any:
        for convert in converters:
            value = convert(value, expression, connection)
        return value

    return read


def _moment(value: datetime | str | None) -> datetime | None:
    """Give a moment the zone SQLite keeps it without."""
    if isinstance(value, str):
        return _moment_of(value)
    return None if value is None else value.replace(tzinfo=UTC)


@lru_cache(maxsize=4096)
def _moment_of(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def _read(rows: list[Row], readers: Sequence[tuple[int, Callable[[Any], Any]]]) -> list[Row]:
    """Read the columns that need it, one column at a time."""
    if not readers:
        return rows
    columns: list[Sequence[Any]] = list(zip(*rows, strict=True))
    for place, reader in readers:
        columns[place] = tuple(map(reader, columns[place]))
    return list(zip(*columns, strict=True))
