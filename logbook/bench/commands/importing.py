"""Readings from a table: delimited text becomes readings, row by row, through the one door."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from logbook.bench.commands.reading import ReadingInput, Recorded
from logbook.bench.commands.recording import record_readings
from logbook.bench.commands.repeats import repeats_in
from logbook.common.changes import Actor
from logbook.common.errors import DomainError, InvalidInputError
from logbook.projects.models import Project

LARGEST_FILE = 10 * 1024 * 1024
MOST_ROWS = 100_000
REQUIRED = ("board", "value")
# A row may give repeats in place of the value, which is then their mean.
INSTEAD = {"value": "repeats"}
COLUMNS = (
    "board",
    "target",
    "point",
    "value",
    "unit",
    "repeats",
    "expanded_uncertainty",
    "coverage_factor",
    "taken_at",
    "instrument",
    "instrument_range",
    "bench_session",
    "firmware",
    "place",
    "note",
    "key",
)
DELIMITERS = (",", ";", "\t")
DANGEROUS_STARTS = ("=", "+", "-", "@")


@dataclass(frozen=True)
class ImportedRow:
    """What became of one row; ``line`` counts from 1 for the header, as an editor shows it."""

    line: int
    given: dict[str, str]
    result: Recorded


@dataclass(frozen=True)
class ImportReport:
    """What became of a table. ``ignored`` names the columns nothing was read from."""

    rows: tuple[ImportedRow, ...]
    ignored: tuple[str, ...]

    def _with_status(self, status: str) -> tuple[ImportedRow, ...]:
        return tuple(row for row in self.rows if row.result.status == status)

    @property
    def stored(self) -> tuple[ImportedRow, ...]:
        """Return the rows that are new readings."""
        return self._with_status("stored")

    @property
    def duplicates(self) -> tuple[ImportedRow, ...]:
        """Return the rows that were already recorded."""
        return self._with_status("duplicate")

    @property
    def rejected(self) -> tuple[ImportedRow, ...]:
        """Return the rows that were refused, each with its error."""
        return self._with_status("rejected")


@dataclass(frozen=True)
class _Row:
    line: int
    given: dict[str, str]
    item: ReadingInput | DomainError


def import_readings(
    *, actor: Actor, project: Project, data: bytes, taken_at: datetime | None = None
) -> ImportReport:
    """Record every good row of a table and name what is wrong with the others.

    1. Decode the text and find the delimiter and the columns; a table without its required columns is
       refused as a whole.
    2. Read the cells of each row.
    3. Record the readable rows together; ``taken_at`` serves rows that state no time of their own.
    """
    table = _table(decoded(data))
    header = _header(table)
    rows = [_read(line, cells, header, project, taken_at) for line, cells in table[1:]]
    items = [row.item for row in rows if isinstance(row.item, ReadingInput)]
    results = iter(record_readings(actor=actor, items=items))
    done = tuple(
        ImportedRow(row.line, row.given, _result(row.item, index, results)) for index, row in enumerate(rows)
    )
    return ImportReport(done, tuple(name for name in header if name not in COLUMNS))


def _result(item: ReadingInput | DomainError, index: int, results: Iterator[Recorded]) -> Recorded:
    if isinstance(item, DomainError):
        return Recorded(index, "rejected", error=item)
    return replace(next(results), index=index)


def decoded(data: bytes) -> str:
    """Return the text of a table: UTF-8 with or without a mark, otherwise Latin-1."""
    if len(data) > LARGEST_FILE:
        raise InvalidInputError.of(
            "file",
            "the table is too large",
            given=f"{len(data)} bytes",
            allowed=f"up to {LARGEST_FILE} bytes",
        )
    if b"\0" in data:
        message = "this is no text in an encoding that can be read here"
        raise InvalidInputError.of("file", message, allowed="UTF-8 or Latin-1")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def delimiter_of(text: str) -> str:
    """Return the delimiter that occurs most often in the header; a comma where none does."""
    header = text.lstrip("\r\n").splitlines()[0] if text.strip() else ""
    return max(DELIMITERS, key=header.count)


def _table(text: str) -> list[tuple[int, list[str]]]:
    """Return the rows that hold anything, each with the line it begins on."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter_of(text), strict=True)
    rows: list[tuple[int, list[str]]] = []
    begins = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((begins, [cell.strip() for cell in cells]))
            if len(rows) > MOST_ROWS + 1:
                message, allowed = "the table has too many rows", f"up to {MOST_ROWS} rows"
                raise InvalidInputError.of("file", message, given=f"more than {MOST_ROWS}", allowed=allowed)
            begins = reader.line_num + 1
    except csv.Error as error:
        message = f"line {reader.line_num} cannot be read as a table: {error}"
        raise InvalidInputError.of("file", message, allowed='text in columns, quoted with ""') from error
    return rows


def _header(table: Sequence[tuple[int, list[str]]]) -> list[str]:
    if not table:
        message = "the table is empty"
        raise InvalidInputError.of(
            "file", message, allowed=f"a first line that names {', '.join(REQUIRED)}, …"
        )
    names = [name.lower().replace(" ", "_") for name in table[0][1]]
    missing = [name for name in REQUIRED if name not in names and INSTEAD.get(name) not in names]
    if missing:
        message = f"the first line names no column {missing[0]!r}"
        raise InvalidInputError.of("file", message, given=", ".join(names)[:200], allowed=", ".join(COLUMNS))
    twice = sorted({name for name in names if name and names.count(name) > 1})
    if twice:
        message = f"the column {twice[0]!r} stands there twice"
        raise InvalidInputError.of("file", message, given=", ".join(names)[:200])
    return names


def _read(
    line: int, cells: list[str], header: list[str], project: Project, taken_at: datetime | None
) -> _Row:
    given = {
        name: _plain(cell) for name, cell in zip(header, cells, strict=False) if name in COLUMNS and cell
    }
    try:
        if any(cells[len(header) :]):
            message = f"line {line} has {len(cells)} cells, the first line names {len(header)}"
            raise InvalidInputError.of("row", message, given=" | ".join(cells)[:200])
        return _Row(line, given, _item(given, project, taken_at))
    except DomainError as error:
        return _Row(line, given, error)


def _plain(cell: str) -> str:
    """Undo the apostrophe that keeps a spreadsheet from running a cell as a formula."""
    return cell[1:] if cell[:1] == "'" and cell[1:2] in DANGEROUS_STARTS else cell


def _item(given: dict[str, str], project: Project, taken_at: datetime | None) -> ReadingInput:
    if not given.get("board"):
        raise InvalidInputError.of("board", "the row names no board", allowed="a serial", code="required")
    values: dict[str, Any] = {**given, "value": given.get("value", "")}
    values["taken_at"] = _moment(given["taken_at"]) if "taken_at" in given else taken_at
    if "repeats" in given:
        values["repeats"] = repeats_in(given["repeats"])
    if "bench_session" in given:
        values["bench_session"] = _whole(given["bench_session"])
    return ReadingInput(project=project.slug, **values)


def _moment(text: str) -> datetime:
    """Read a date and time; without an offset it is in the site's time zone."""
    allowed = "such as 2026-05-02T10:22:00Z or 2026-05-02 10:22"
    try:
        moment = parse_datetime(text)
    except ValueError:
        moment = None
    if moment is None:
        raise InvalidInputError.of("taken_at", "this is no date and time", given=text, allowed=allowed)
    return moment if timezone.is_aware(moment) else timezone.make_aware(moment)


def _whole(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 15:
        raise InvalidInputError.of(
            "bench_session", "a bench session is a whole number", given=text, allowed="its number, such as 12"
        )
    return int(text)
