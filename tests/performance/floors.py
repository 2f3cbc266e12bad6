"""What the machine can do at all: bare inserts into the product's own table, in the same run."""

from __future__ import annotations

import time
from collections.abc import Iterable
from typing import Any


def stored_rows(count: int) -> tuple[list[str], list[list[Any]]]:
    """Return columns and values of stored measurements, ready for the database, with keys of their own."""
    from django.db import connection

    from logbook.bench.models import Measurement

    fields = [field for field in Measurement._meta.local_fields if not field.primary_key]
    rows = Measurement.objects.order_by("-pk").values_list(*[field.attname for field in fields])[:count]
    place = [field.attname for field in fields].index("key")
    values = [
        [
            f"bare-{time.perf_counter_ns()}-{number}"
            if index == place
            else field.get_db_prep_save(value, connection)
            for index, (field, value) in enumerate(zip(fields, row, strict=True))
        ]
        for number, row in enumerate(rows)
    ]
    return [f'"{field.column}"' for field in fields], values


def bare_list(count: int) -> float:
    """Return the seconds of one executemany (SQLite) or COPY (PostgreSQL) with its commit.

    The rows are deleted again, which is not timed.
    """
    from django.db import connection, transaction

    columns, values = stored_rows(count)
    newest = _newest_id()
    begun = time.perf_counter()
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            statement = f"COPY bench_measurement ({', '.join(columns)}) FROM STDIN"
            with cursor.copy(statement) as copy:
                for row in values:
                    copy.write_row(row)
        else:
            cursor.executemany(_insert(columns), values)
    taken = time.perf_counter() - begun
    _take_back(newest)
    return taken


def bare_single(columns: list[str], values: list[Any]) -> float:
    """Return the seconds of inserting one row and committing it; it is deleted again."""
    from django.db import connection, transaction

    newest = _newest_id()
    begun = time.perf_counter()
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(_insert(columns), values)
    taken = time.perf_counter() - begun
    _take_back(newest)
    return taken


def _newest_id() -> int:
    from django.db.models import Max

    from logbook.bench.models import Measurement

    return Measurement.objects.aggregate(newest=Max("pk"))["newest"] or 0


def _take_back(newest: int) -> None:
    """Delete the bare rows; nothing refers to them."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM bench_measurement WHERE id > %s AND key LIKE 'bare-%%'", [newest])


def _insert(columns: Iterable[str]) -> str:
    names = list(columns)
    return f"INSERT INTO bench_measurement ({', '.join(names)}) VALUES ({', '.join(['%s'] * len(names))})"
