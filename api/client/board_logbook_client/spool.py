"""The spool: everything that goes to the site is first written here, on this computer's own disk.

A SQLite file. ``record`` returns only after the write has reached the disk, so a killed script or a power cut
loses nothing; the order is that of writing, whatever the clock does. Several scripts may share one spool.
"""

from __future__ import annotations

import json
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from board_logbook_client.spool_file import SpoolFile

KEPT_SENT = 10_000
# Nothing is ever put off longer; a later time is from before the clock was set back.
LONGEST_PAUSE_S = 7200.0
WAITING, SENT, REJECTED, DISMISSED = "waiting", "sent", "rejected", "dismissed"
READING, OPENING, CLOSING = "reading", "opening", "closing"
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


class Spool:
    """What is kept, in the order it was written."""

    def __init__(self, path: Path | None = None) -> None:
        self.file = SpoolFile(path)

    @property
    def path(self) -> Path:
        """Return where the file lies."""
        return self.file.path

    def close(self) -> None:
        """Close the file; the next use opens it again."""
        self.file.close()

    def sending(self, *, wait_s: float) -> AbstractContextManager[bool]:
        """Hold the right to send: one process at a time, so that order is kept."""
        return self.file.sending(wait_s=wait_s)

    def add(
        self, *, site: str, project: str, kind: str, key: str, body: dict[str, Any], session: str = ""
    ) -> int:
        """Write an entry to the disk and return its number; the same key and content is not written again."""
        text = json.dumps(body, allow_nan=False, sort_keys=True)
        with self.file.writing() as connection:
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
        with self.file.connection() as connection:
            rows = connection.execute("SELECT site, status, count(*) FROM entries GROUP BY site, status")
            return {(site, status): number for site, status, number in rows}

    def settle(self, outcomes: list[tuple[int, str, dict[str, Any]]]) -> None:
        """Keep what the site said of entries: (number, sent or rejected, its answer or problem)."""
        with self.file.writing() as connection:
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
        with self.file.writing() as connection:
            connection.execute(
                "UPDATE entries SET tries = tries + 1, next_try = ? WHERE seq = ?", (next_try, seq)
            )

    def wait_again(self, keys: list[str] | None = None) -> int:
        """Put rejected entries back to waiting, all or those of the keys; return how many."""
        names = "" if keys is None else f" AND key IN ({', '.join('?' * len(keys))})"
        with self.file.writing() as connection:
            done = connection.execute(
                f"UPDATE entries SET status = 'waiting', problem = NULL WHERE status = 'rejected'{names}",  # noqa: S608
                keys or [],
            )
            return done.rowcount

    def dismiss(self, keys: list[str]) -> int:
        """Set rejected entries of the keys aside, kept with the site's reason; return how many."""
        names = ", ".join("?" * len(keys))
        with self.file.writing() as connection:
            done = connection.execute(
                f"UPDATE entries SET status = 'dismissed' WHERE status = 'rejected' AND key IN ({names})",  # noqa: S608
                keys,
            )
            return done.rowcount

    def move(self, old: str, new: str) -> int:
        """Send what waits for one address to another instead; return how many entries."""
        with self.file.writing() as connection:
            done = connection.execute("UPDATE entries SET site = ? WHERE site = ?", (new, old))
            return done.rowcount

    def trouble(self, site: str) -> tuple[int, float, str]:
        """Return failures in a row, when to try next, and the last trouble of a site."""
        with self.file.connection() as connection:
            row = connection.execute(
                "SELECT failures, next_try, trouble FROM sites WHERE address = ?", (site,)
            ).fetchone()
        return row or (0, 0.0, "")

    def note_trouble(self, site: str, *, failures: int, next_try: float, trouble: str) -> None:
        """Keep it for the next script too; zero failures say that the site answers."""
        if failures == 0 and self.trouble(site)[0] == 0:
            return
        with self.file.writing() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO sites VALUES (?, ?, ?, ?)", (site, failures, next_try, trouble)
            )

    def _entries(self, where: str, *values: Any) -> list[Entry]:
        with self.file.connection() as connection:
            rows = connection.execute(f"SELECT {COLUMNS} FROM entries {where}", values).fetchall()  # noqa: S608
        return [_entry(row) for row in rows]


def _entry(row: tuple[Any, ...]) -> Entry:
    seq, site, project, kind, key, session, body, status, answer, problem, tries, next_try = row
    said = json.loads(answer) if answer else None
    refused = json.loads(problem) if problem else None
    return Entry(
        seq, site, project, kind, key, session, json.loads(body), status, said, refused, tries, next_try
    )
