"""Throw-away databases, and the kept databases of earlier releases."""

from __future__ import annotations

import gzip
import os
import sqlite3
import subprocess
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg

DUMPS = Path(__file__).resolve().parents[2] / "fixtures" / "upgrade"
SERVER = os.environ.get("LOGBOOK_TEST_POSTGRES", "postgres://root@127.0.0.1:5432/postgres")


@contextmanager
def new_database(prefix: str, template: str = "template1") -> Iterator[str]:
    """Give the address of a database of its own, gone afterwards."""
    name = f"{prefix}_{uuid.uuid4().hex[:10]}"
    with psycopg.connect(SERVER, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
    try:
        yield urlunsplit(urlsplit(SERVER)._replace(path=f"/{name}"))
    finally:
        with psycopg.connect(SERVER, autocommit=True) as server:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def dumped_sqlite(link: sqlite3.Connection) -> str:
    """Return a database as the statements that make it again."""
    return "\n".join(link.iterdump()) + "\n"


def load_sqlite(release: str, database: Path) -> None:
    """Make the SQLite database of a release again."""
    link = sqlite3.connect(database)
    link.executescript(gzip.decompress((DUMPS / f"{release}-sqlite.sql.gz").read_bytes()).decode())
    link.close()


def load_postgresql(release: str, address: str) -> None:
    """Make the PostgreSQL database of a release again."""
    statements = gzip.decompress((DUMPS / f"{release}-postgresql.sql.gz").read_bytes())
    options = ["--quiet", "--no-psqlrc", "--set", "ON_ERROR_STOP=1", "--single-transaction"]
    subprocess.run(["psql", *options, address], input=statements, stdout=subprocess.DEVNULL, check=True)
