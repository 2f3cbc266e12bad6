"""A folder and a database of the measurement's own, gone when it ends."""

from __future__ import annotations

import os
import shutil
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit, urlunsplit


@contextmanager
def own_database() -> Iterator[None]:
    """Point the site's settings at an empty database: SQLite, or one beside that of DATABASE_URL."""
    folder = tempfile.mkdtemp(prefix="logbook-bench-")
    os.environ["LOGBOOK_DATA"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.performance.settings"
    given = os.environ.get("DATABASE_URL", "")
    name = f"logbook_bench_{uuid.uuid4().hex[:12]}"
    try:
        if given:
            _run(given, f'CREATE DATABASE "{name}"')
            os.environ["DATABASE_URL"] = urlunsplit(urlsplit(given)._replace(path=f"/{name}"))
        yield
    finally:
        if given:
            _run(given, f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        shutil.rmtree(folder, ignore_errors=True)


def _run(url: str, statement: str) -> None:
    import psycopg

    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(statement)
