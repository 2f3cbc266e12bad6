"""The spool: everything that goes to the site is first written here, on this computer's own disk.

A SQLite file. ``record`` returns only after the write has reached the disk, so a killed script or a power cut
loses nothing; the order is that of writing, whatever the clock does. Several scripts may share one spool.
"""

from __future__ import annotations

import json
import os
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from board_logbook_client.errors import SpoolError

FORMAT = 1
KEPT_SENT = 10_000
# Nothing is ever put off longer; a later time is from before the clock was set back.
LONGEST_PAUSE_S = 7200.0
BUSY_S = 30.0
WAITING, SENT, REJECTED = "waiting", "sent", "rejected"
READING, OPENING, CLOSING = "reading", "opening", "closing"
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
COLUMNS = "seq, site, project, kind, key, session, body, status, answer, problem, tries, next_try"


@dataclass(frozen=True)
class Entry:
    """One line of the spool: a reading, or the opening or closing of a bench session."""

    seq: int
    site: str
    project: str
    kind: str
    key: str
    session: str
    body: dict[str, Any]
    status: str
    answer: dict[str, Any] | None
    problem: dict[str, Any] | None
    tries: int
    next_try: float


def usual_path() -> Path:
    """Return where the spool lies: LOGBOOK_SPOOL, else a file of the person's own folder."""
    named = os.environ.get("LOGBOOK_SPOOL", "")
    return Path(named) if named else Path.home() / ".board-logbook" / "spool.sqlite3"


class Spool:
    """The file, shared by any number of threads and processes of this computer."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = Path(path or usual_path()).expanduser().absolute()
        self._lock = threading.RLock()
        self._opened: tuple[int, sqlite3.Connection] | None = None
        with self._connection():
            pass

    def close(self) -> None:
        """Close the file; the next use opens it again."""
        with self._lock:
            if self._opened is not None and self._opened[0] == os.getpid():
                self._opened[1].close()
            self._opened = None

    def add(
        self, *, site: str, project: str, kind: str, key: str, body: dict[str, Any], session: str = ""
    ) -> int:
        """Write an entry to the disk and return its number; the same key and content is not written again."""
        text = json.dumps(body, allow_nan=False, sort_keys=True)
        with self._writing() as connection:
            same = "site = ? AND key = ? AND project = ? AND kind = ? AND body = ?"
            known = connection.execute(
                f"SELECT seq FROM entries WHERE {same}",  # noqa: S608
                (site, key, project, kind, text),
            ).fetchone()
            if known is not None:
                return int(known[0])
            made = connection.execute(
                "INSERT INTO entries (site, project, kind, key, session, body) VALUES (?, ?, ?, ?, ?, ?)",
                (site, project, kind, key, session, text),
            )
            return int(made.lastrowid or 0)

    def entry(self, seq: int) -> Entry:
        """Return one entry."""
        return self._entries("WHERE seq = ?", seq)[0]

    def with_key(self, site: str, key: str) -> list[Entry]:
        """Return the entries of a key, the oldest first; more than one only where its content differed."""
        return self._entries("WHERE site = ? AND key = ? ORDER BY seq", site, key)

    def due(self, site: str, *, now: float, most: int) -> list[Entry]:
        """Return what is to be sent next, in the order it was written; a clock set back holds up nothing."""
        where = (
            "WHERE site = ? AND status = 'waiting' AND (next_try <= ? OR next_try > ?) ORDER BY seq LIMIT ?"
        )
        return self._entries(where, site, now, now + LONGEST_PAUSE_S, most)

    def with_status(self, status: str, site: str = "") -> list[Entry]:
        """Return the entries of a status, of one site or of all."""
        return self._entries("WHERE status = ? AND (? = '' OR site = ?) ORDER BY seq", status, site, site)

    def counts(self) -> dict[tuple[str, str], int]:
        """Return how many entries each site has in each status."""
        with self._connection() as connection:
            rows = connection.execute("SELECT site, status, count(*) FROM entries GROUP BY site, status")
            return {(site, status): number for site, status, number in rows}

    def settle(self, outcomes: list[tuple[int, str, dict[str, Any]]]) -> None:
        """Keep what the site said of entries: (number, sent or rejected, its answer or problem)."""
        with self._writing() as connection:
            for seq, status, said in outcomes:
                column = "answer" if status == SENT else "problem"
                connection.execute(
                    f"UPDATE entries SET status = ?, {column} = ?, tries = tries + 1 WHERE seq = ?",  # noqa: S608
                    (status, json.dumps(said), seq),
                )
            connection.execute(
                "DELETE FROM entries WHERE status = 'sent' AND seq <= (SELECT max(seq) FROM entries) - ?",
                (KEPT_SENT,),
            )

    def note_try(self, seq: int, *, next_try: float = 0.0) -> None:
        """Count an attempt whose end is not known, and do not try before ``next_try``."""
        with self._writing() as connection:
            connection.execute(
                "UPDATE entries SET tries = tries + 1, next_try = ? WHERE seq = ?", (next_try, seq)
            )

    def wait_again(self, keys: list[str] | None = None) -> int:
        """Put rejected entries back to waiting, all or those of the keys; return how many."""
        names = "" if keys is None else f" AND key IN ({', '.join('?' * len(keys))})"
        with self._writing() as connection:
            done = connection.execute(
                f"UPDATE entries SET status = 'waiting', problem = NULL WHERE status = 'rejected'{names}",  # noqa: S608
                keys or [],
            )
            return done.rowcount

    def move(self, old: str, new: str) -> int:
        """Send what waits for one address to another instead; return how many entries."""
        with self._writing() as connection:
            done = connection.execute("UPDATE entries SET site = ? WHERE site = ?", (new, old))
            return done.rowcount

    def trouble(self, site: str) -> tuple[int, float, str]:
        """Return failures in a row, when to try next, and the last trouble of a site."""
        with self._connection() as connection:
            row = connection.execute(
                "SELECT failures, next_try, trouble FROM sites WHERE address = ?", (site,)
            ).fetchone()
        return row or (0, 0.0, "")

    def note_trouble(self, site: str, *, failures: int, next_try: float, trouble: str) -> None:
        """Keep it for the next script too; zero failures say that the site answers."""
        if failures == 0 and self.trouble(site)[0] == 0:
            return
        with self._writing() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO sites VALUES (?, ?, ?, ?)", (site, failures, next_try, trouble)
            )

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

    def _entries(self, where: str, *values: Any) -> list[Entry]:
        with self._connection() as connection:
            rows = connection.execute(f"SELECT {COLUMNS} FROM entries {where}", values).fetchall()  # noqa: S608
        return [_entry(row) for row in rows]

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self._connection() as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise

    @contextmanager
    def _connection(self) -> Iterator[sqlite3.Connection]:
        """Yield the connection of this process: one carried over a fork would break the file."""
        with self._lock:
            try:
                if self._opened is None or self._opened[0] != os.getpid():
                    self._opened = (os.getpid(), self._open())
                yield self._opened[1]
            except sqlite3.Error as error:
                raise self._error(error) from error

    def _open(self) -> sqlite3.Connection:
        try:
            self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self.path.touch(mode=0o600)
        except OSError as error:
            raise self._error(error) from error
        connection = sqlite3.connect(self.path, timeout=BUSY_S, isolation_level=None, check_same_thread=False)
        found = connection.execute("PRAGMA user_version").fetchone()[0]
        if found > FORMAT:
            connection.close()
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
        return connection

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


def _entry(row: tuple[Any, ...]) -> Entry:
    seq, site, project, kind, key, session, body, status, answer, problem, tries, next_try = row
    said = json.loads(answer) if answer else None
    refused = json.loads(problem) if problem else None
    return Entry(
        seq, site, project, kind, key, session, json.loads(body), status, said, refused, tries, next_try
    )
