"""Watches that what is written through a door leaves the mark by which derived answers know of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection
from django.test import Client

MARKS = {"common_changerecord", "bench_measurement"}
# What no derived answer shows: who is signed in, messages, jobs and files made by them, the search index.
SHOWN_NOWHERE = re.compile(
    r"^(django_session|axes_\w+|common_job|accounts_user|accounts_apitoken|recall_\w+|evidence_analysis"
    r"|evidence_drawing|sqlite_sequence|search_\w+|django_migrations)$"
)
_WRITES = re.compile(r'^\s*(?:INSERT(?: OR \w+)? INTO|UPDATE|DELETE FROM|COPY)\s+"?(\w+)"?', re.IGNORECASE)
_SAVEPOINT = re.compile(r'^SAVEPOINT "(\w+)"')
_ROLLED_BACK = re.compile(r'^ROLLBACK TO SAVEPOINT "(\w+)"')
Send = Callable[..., Any]


def tries() -> int:
    """Return how often to look for an unchanged answer: on PostgreSQL other databases change it too."""
    return 30 if connection.vendor == "postgresql" else 1


@contextmanager
def every_write_marked(patch: Any) -> Iterator[None]:
    """Fail a request that wrote something shown, was not rolled back, and left no mark."""
    send = Client.request

    def watched(client: Client, **request: Any) -> Any:
        written: list[str] = []
        savepoints: dict[str, int] = {}

        def note(execute: Send, sql: str, *rest: Any) -> Any:
            if found := _WRITES.match(sql):
                written.append(found[1])
            elif found := _SAVEPOINT.match(sql):
                savepoints[found[1]] = len(written)
            elif found := _ROLLED_BACK.match(sql):
                del written[savepoints.get(found[1], 0) :]
            return execute(sql, *rest)

        with connection.execute_wrapper(note):
            answer = send(client, **request)
        unmarked = {table for table in written if not SHOWN_NOWHERE.match(table)}
        if unmarked and not MARKS.intersection(written):
            raise AssertionError(f"{request.get('PATH_INFO')} wrote {sorted(unmarked)} and left no mark")
        return answer

    patch.setattr(Client, "request", watched)
    yield
