"""Checks at the start of the site."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error


def full_text_is_there(**_: Any) -> list[CheckMessage]:
    """Say when the SQLite of this Python was built without full-text search."""
    if "sqlite" not in str(settings.DATABASES["default"]["ENGINE"]):
        return []
    try:
        with closing(sqlite3.connect(":memory:")) as empty:
            empty.execute("CREATE VIRTUAL TABLE words USING fts5(word)")
    except sqlite3.OperationalError as error:
        hint = "Use a Python whose SQLite has FTS5, or PostgreSQL through DATABASE_URL."
        return [Error(f"SQLite here cannot search text: {error}", hint=hint, id="logbook.E003")]
    return []
