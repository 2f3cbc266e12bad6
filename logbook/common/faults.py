"""Faults of the machine below the site, told apart so that people hear what to do."""

from __future__ import annotations

import errno

from django.db import OperationalError

FULL = frozenset({errno.ENOSPC, errno.EDQUOT})
SQLITE_FULL = "database or disk is full"
POSTGRESQL_FULL = "53100"  # disk_full in PostgreSQL's table of error codes

DISK_FULL = (
    "the disk of the site is full, so this was not stored. Whoever runs the site must make room; then send "
    "the same again: what carries a key is never stored twice"
)
UNAVAILABLE = (
    "the database did not answer, so this was not stored, or only a part of it. Send the same again: what "
    "carries a key is never stored twice"
)


def is_disk_full(error: BaseException) -> bool:
    """Say whether there was no room on the disk, as the system or either database says it."""
    if isinstance(error, OSError):
        return error.errno in FULL
    if not isinstance(error, OperationalError):
        return False
    return SQLITE_FULL in str(error) or getattr(error.__cause__, "sqlstate", "") == POSTGRESQL_FULL
