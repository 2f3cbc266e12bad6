"""Every record as a row of a table, so that nothing recorded is missing from the copy."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from logbook.projects.models import Project
from logbook.recall.archive.lines import Writer
from logbook.recall.archive.loading import pieces
from logbook.recall.archive.records import RECORDS, Record

ROWS = 1_000


@dataclass(frozen=True)
class Table:
    """One page of a table."""

    name: str
    page: int
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    is_last: bool

    @property
    def title(self) -> str:
        """Return what the table holds, in words."""
        return self.name.replace("-", " ")

    @property
    def path(self) -> str:
        """Return where the page lies."""
        return _path(self.name, self.page)

    @property
    def before(self) -> str:
        """Return the page before this one; empty on the first."""
        return _path(self.name, self.page - 1) if self.page > 1 else ""

    @property
    def after(self) -> str:
        """Return the page after this one; empty on the last."""
        return "" if self.is_last else _path(self.name, self.page + 1)


def _path(name: str, page: int) -> str:
    return f"tables/{name}.html" if page == 1 else f"tables/{name}-{page}.html"


def table_pages(project: Project) -> Iterator[tuple[str, Table]]:
    """Yield each page of each table that holds anything, with where it lies."""
    writer = Writer(project)
    for record in RECORDS:
        for table in _pages_of(record, writer):
            yield table.path, table


def _pages_of(record: Record, writer: Writer) -> Iterator[Table]:
    columns = tuple(sorted(record.names, key=lambda name: (name not in record.key, name)))
    before: Table | None = None
    for page, piece in enumerate(pieces(writer.lines(record), ROWS), 1):
        if before is not None:
            yield before
        rows = tuple(tuple(_cell(line[name]) for name in columns) for line in piece)
        before = Table(record.name, page, columns, rows, is_last=False)
    if before is not None:
        yield Table(before.name, before.page, before.columns, before.rows, is_last=True)


def _cell(value: Any) -> str:
    if value is None or value in ("", [], {}):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list) and all(isinstance(part, str | int) for part in value):
        return " · ".join(str(part) for part in value)
    return json.dumps(value, ensure_ascii=False) if isinstance(value, dict | list) else str(value)
