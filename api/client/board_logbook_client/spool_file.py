"""The file of the spool: opened, written to the disk and locked so that nothing in it is ever lost.

SQLite, because its commits survive a killed process and a power cut and it locks alike on every system.
"""

from __future__ import annotations

import os
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from board_logbook_client.errors import SpoolError

FORMAT = 1
BUSY_S = 30.0
SCHEMA = """
CREATE TABLE IF NOT EXISTS entries (
    seq INTEGER PRIMARY KEY AUTOINCREMENT, site TEXT NOT NULL, project TEXT NOT NULL, kind TEXT NOT NULL,
    key TEXT NOT NULL, session TEXT NOT NULL, body TEXT NOT NULL, status TEXT NOT NULL DEFAULT 'waiting',
    answer TEXT, problem TEXT, tries INTEGER NOT NULL DEFAULT 0, next_try REAL NOT NULL DEFAULT 0);
CREATE INDEX IF NOT EXISTS entries_by_status ON entries (site, status, seq);
CREATE INDEX IF NOT EXISTS entries_by_key ON entries (site, key);
CREATE TABLE IF NOT EXISTS sites (
    address TEXT PRIMARY KEY, failures INTEGER NOT NULL, next_try REAL NOT NULL, trouble TEXT NOT NULL);
"""


def usual_path() -> Path:
    """Return where the spool lies: LOGBOOK_SPOOL, else a file of the person's own folder."""
    named = os.environ.get("LOGBOOK_SPOOL", "")
    return Path(named) if named else Path.home() / ".board-logbook" / "spool.sqlite3"


class SpoolFile:
    """One file, shared by any number of threads and processes of this computer."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = Path(path or usual_path()).expanduser().absolute()
        self._lock = threading.RLock()
        self._opened: tuple[int, sqlite3.Connection] | None = None
        self._of_parent: tuple[int, sqlite3.Connection] | None = None
        with self.connection():
            pass

    def close(self) -> None:
        """Close the file; the next use opens it again."""
        with self._lock:
            if self._opened is not None and self._opened[0] == os.getpid():
                self._opened[1].close()
            self._opened = None

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Yield a connection inside a transaction that has reached the disk when the block is left."""
        with self.connection() as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise

    @contextmanager
    def connection(self) -> Iterator[sqlite3.Connection]:
        """Yield the connection of this process: one carried over a fork would break the file."""
        with self._lock:
            try:
                if self._opened is None or self._opened[0] != os.getpid():
                    # Closing it here would touch the file the other process works on.
                    self._of_parent = self._opened
                    self._opened = (os.getpid(), self._open())
                yield self._opened[1]
            except sqlite3.Error as error:
                raise self._error(error) from error

    @contextmanager
    def sending(self, *, wait_s: float) -> Iterator[bool]:
        """Hold the right to send: one process at a time, so that order is kept; ends with the process.

        A lock of SQLite on a file of its own, because it works alike on every system.
        """
        path = self.path.with_name(self.path.name + ".sending")
        try:
            connection = sqlite3.connect(path, timeout=wait_s, isolation_level=None)
        except sqlite3.Error as error:
            raise self._error(error) from error
        try:
            try:
                connection.execute("BEGIN EXCLUSIVE")
                held = True
            except sqlite3.OperationalError as error:
                if "locked" not in str(error):
                    raise self._error(error) from error
                held = False
            yield held
        finally:
            connection.close()

    def _open(self) -> sqlite3.Connection:
        try:
            self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self.path.touch(mode=0o600)
        except OSError as error:
            raise self._error(error) from error
        connection = sqlite3.connect(self.path, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
        try:
            self._set_up(connection)
        except BaseException:
            connection.close()
            raise
        return connection

    def _set_up(self, connection: sqlite3.Connection) -> None:
        found = connection.execute("PRAGMA user_version").fetchone()[0]
        if found > FORMAT:
            message = f"{self.path} was written by a newer version of this package (format {found})"
            raise SpoolError(message)
        _to_write_ahead(connection)
        # FULL waits for the disk at every commit; fullfsync does so on systems whose fsync does not.
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA fullfsync = ON")
        connection.execute("PRAGMA checkpoint_fullfsync = ON")
        if found < FORMAT:
            connection.executescript(f"BEGIN IMMEDIATE; {SCHEMA} PRAGMA user_version = {FORMAT}; COMMIT;")
            _reach_disk(self.path.parent)

    def _error(self, error: Exception) -> SpoolError:
        return SpoolError(f"the spool {self.path} cannot be used: {error}; nothing was kept by this call")


def _to_write_ahead(connection: sqlite3.Connection) -> None:
    """Set the kind of journal; SQLite does not wait by itself where another process does so just now."""
    end = time.monotonic() + BUSY_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError:  # noqa: PERF203 - to try again is the point
            if time.monotonic() > end:
                raise
            time.sleep(0.02)
        else:
            return


def _reach_disk(folder: Path) -> None:
    """Write the folder's own entry of a new file to the disk, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
