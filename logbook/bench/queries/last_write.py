"""The last thing that was written on the site: while it stays the same, nothing derived changes."""

from __future__ import annotations

from django.db import connection

from logbook.bench.models import Measurement
from logbook.common.models import ChangeRecord

# Every command writes a change record or a reading. Times beside the ids tell a restored site apart.
_LATEST = ", ".join(
    f"(SELECT {column} FROM {table} ORDER BY id DESC LIMIT 1)"  # noqa: S608 - names of our own
    for table, moment in ((ChangeRecord._meta.db_table, "at"), (Measurement._meta.db_table, "recorded_at"))
    for column in ("id", moment)
)
# On PostgreSQL a lower id may be committed after a higher one was seen. Two snapshots that are equal see
# the same rows; SQLite has one writer at a time, so its ids come in the order of their commits.
_SNAPSHOT = {"postgresql": ", pg_current_snapshot()::text"}


def last_write() -> tuple[str, ...]:
    """Return what changes with every write. One query, whatever the size of the history.

    On PostgreSQL it also changes with writes that show nowhere, and with those of other databases of the
    same server: an answer is then made anew without need, never kept wrongly.
    """
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {_LATEST}{_SNAPSHOT.get(connection.vendor, '')}")
        return tuple(map(str, cursor.fetchone()))
