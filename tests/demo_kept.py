"""Loads the invented demo once in a test run, and lays what it stored into a database again where asked.

Loading takes half a minute of work: hundreds of readings, photos and captures go through the site's own
commands. Laying the rows back takes less than a second. Tables of the search are left out; they follow by
themselves.
"""

from __future__ import annotations

import os
import pickle
import shutil
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.color import no_style
from django.db import connection

from logbook.recall.demo.replay import load_demo
from tests.locks import alone

# Filled by the migrations themselves, or kept up to date by the search.
NOT_KEPT = (
    "django_migrations",
    "django_content_type",
    "auth_permission",
    "recall_document",
    "recall_word",
    "recall_followed",
)


def shared_folder(tmp_path_factory: Any) -> Path:
    """Return a folder that all processes of one test run share."""
    base: Path = tmp_path_factory.getbasetemp()
    return base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base


def lay_demo(folder: Path) -> None:
    """Put the demo into the database and the data folder; the first caller of a run loads it for all."""
    kept = folder / f"demo-{connection.vendor}.pickle"
    files = folder / f"demo-{connection.vendor}-files"
    with alone(folder, "demo"):
        if not kept.exists():
            load_demo()
            shutil.copytree(settings.LOGBOOK_DATA, files)
            kept.write_bytes(pickle.dumps({table: _rows_of(table) for table in _tables()}))
            return
    shutil.copytree(files, settings.LOGBOOK_DATA, dirs_exist_ok=True)
    for table, rows in pickle.loads(kept.read_bytes()).items():
        _lay(table, rows)
    _set_sequences()


def _tables() -> list[str]:
    names = connection.introspection.django_table_names(only_existing=True)
    return sorted(set(names) - set(NOT_KEPT))


def _rows_of(table: str) -> Any:
    name = connection.ops.quote_name(table)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.cursor.copy(f"COPY {name} TO STDOUT") as copy:
                return b"".join(bytes(part) for part in copy)
        return cursor.cursor.connection.execute(f"SELECT * FROM {name}").fetchall()


def _lay(table: str, rows: Any) -> None:
    name = connection.ops.quote_name(table)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.cursor.copy(f"COPY {name} FROM STDIN") as copy:
                copy.write(rows)
        elif rows:
            marks = ", ".join("?" * len(rows[0]))
            cursor.cursor.connection.executemany(f"INSERT INTO {name} VALUES ({marks})", rows)


def _set_sequences() -> None:
    models = connection.introspection.installed_models(_tables())
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(models)):
            cursor.execute(statement)
