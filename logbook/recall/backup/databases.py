"""Snapshots of the database while the site goes on, and putting one back in one step."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path
from typing import Any

from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from logbook.recall.backup.manifest import BackupError

SNAPSHOTS = {"sqlite": "database.sqlite3", "postgresql": "database.sql"}
LONGEST_SAID = 500


def snapshot(target: Path) -> None:
    """Write the database as it stands at one moment; nobody has to stop writing."""
    if connection.in_atomic_block:
        message = "a backup cannot be made inside a transaction: what it has written is not there yet"
        raise BackupError(message)
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        try:
            _copy_sqlite(target)
        except sqlite3.OperationalError as error:
            message = f"the database cannot be copied to {target.parent.parent}: {error}"
            raise BackupError(message) from error
        return
    _run(["pg_dump", "--no-owner", "--no-privileges", "--file", str(target)])


def _copy_sqlite(target: Path) -> None:
    with closing(sqlite3.connect(target)) as copy:
        connection.connection.backup(copy)
        # One file by itself, whatever the site's own journal is.
        copy.execute("PRAGMA journal_mode=DELETE")


def put_back(source: Path) -> None:
    """Replace the whole database by a snapshot, all of it or nothing."""
    if connection.vendor == "sqlite":
        _put_back_sqlite(source)
        return
    connection.close()
    options = ["--no-psqlrc", "--quiet", "--set", "ON_ERROR_STOP=1", "--single-transaction"]
    # What a newer version had added would stand in the way of its own migration.
    anew = "DROP SCHEMA public CASCADE; CREATE SCHEMA public;"
    _run(["psql", *options, "--output", os.devnull, "--command", anew, "--file", str(source)])


def _put_back_sqlite(source: Path) -> None:
    with closing(sqlite3.connect(source)) as kept:
        said = kept.execute("PRAGMA integrity_check").fetchone()[0]
        if said != "ok":
            message = f"the database in the backup is damaged: {said}"
            raise BackupError(message)
        connection.ensure_connection()
        try:
            kept.backup(connection.connection)
        except sqlite3.OperationalError as error:
            message = f"the database cannot be replaced ({error}): stop the site first, then restore again"
            raise BackupError(message) from error
    connection.close()


def migrations_applied() -> list[str]:
    """Return the migrations the database has, as ``app.name``."""
    return sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations())


def _run(command: list[str]) -> None:
    """Run a program of PostgreSQL on this site's database; the password never stands in its arguments."""
    program = shutil.which(command[0])
    if program is None:
        message = f"{command[0]} is missing: install the client programs of PostgreSQL on this machine"
        raise BackupError(message)
    done = subprocess.run(  # noqa: S603 - a program of PostgreSQL, with names we chose
        [program, *command[1:]],
        env=os.environ | _environment(connection.get_connection_params()),
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        message = f"{command[0]} failed: {done.stderr.strip()[:LONGEST_SAID]}"
        raise BackupError(message)


def _environment(given: dict[str, Any]) -> dict[str, str]:
    names = {"dbname": "PGDATABASE", "user": "PGUSER", "password": "PGPASSWORD", "host": "PGHOST"}
    names |= {"port": "PGPORT", "sslmode": "PGSSLMODE", "sslrootcert": "PGSSLROOTCERT"}
    return {there: str(given[here]) for here, there in names.items() if given.get(here)}
