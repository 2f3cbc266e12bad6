"""A CSV file of readings, with the columns the site's own import takes."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

COLUMNS = (
    "board", "target", "point", "value", "unit", "repeats", "expanded_uncertainty", "coverage_factor",
    "taken_at", "instrument", "instrument_range", "bench_session", "firmware", "place", "note", "key",
)  # fmt: skip
DELIMITERS = ",;\t"
DANGEROUS_STARTS = ("=", "+", "-", "@")
_SESSION = re.compile("[0-9]{1,15}")


class CsvError(ValueError):
    """The file cannot be read as readings; nothing of it was recorded."""


def readings_of(path: Path) -> list[dict[str, Any]]:
    """Return the rows as fields of readings; all or none, so that a half-read file is never half recorded."""
    rows = list(_rows_of(path, _text_of(path)))
    header = [name.strip().lower().replace(" ", "_") for name in rows[0][1]] if rows else []
    _check(header, f"{path}, line {rows[0][0] if rows else 1}")
    return [_reading(header, row, f"{path}, line {line}") for line, row in rows[1:]]


def _rows_of(path: Path, text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows that hold anything, each with the line it begins on."""
    first = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = max(DELIMITERS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    begins = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield begins, row
            begins = reader.line_num + 1
    except csv.Error as error:
        message = f"{path}, line {reader.line_num}: cannot be read as a table: {error}"
        raise CsvError(message) from error


def _check(header: list[str], where: str) -> None:
    """Refuse a first line that names unknown columns, one of them twice, or too few."""
    unknown = [name for name in header if name not in COLUMNS]
    if unknown or "board" not in header or not {"value", "repeats"} & set(header):
        needed = f"columns are {', '.join(COLUMNS)}; board and value are needed"
        message = f"{where}: {unknown or header}; {needed}"
        raise CsvError(message)
    twice = sorted({name for name in header if header.count(name) > 1})
    if twice:
        message = f"{where}: the column {twice[0]!r} stands there twice; name each once"
        raise CsvError(message)


def _text_of(path: Path) -> str:
    try:
        content = path.read_bytes()
    except OSError as error:
        message = f"{path} cannot be read: {error}"
        raise CsvError(message) from error
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


def _plain(cell: str) -> str:
    """Undo the apostrophe that keeps a spreadsheet from running a cell as a formula, as the site does."""
    return cell[1:] if cell[:1] == "'" and cell[1:2] in DANGEROUS_STARTS else cell


def _reading(header: list[str], row: list[str], where: str) -> dict[str, Any]:
    if len(row) > len(header):
        message = f"{where}: {len(row)} cells under {len(header)} columns"
        raise CsvError(message)
    given: dict[str, Any] = {name: _plain(cell.strip()) for name, cell in zip(header, row) if cell.strip()}
    if "key" not in given and "taken_at" not in given:
        message = f"{where}: give key or taken_at, or posting the file again would record the reading twice"
        raise CsvError(message)
    if "key" not in given:
        given["key"] = hashlib.sha256(json.dumps(given, sort_keys=True).encode()).hexdigest()
    if "repeats" in given:
        given["repeats"] = given["repeats"].replace(",", " ").split()
    if "bench_session" in given:
        if not _SESSION.fullmatch(given["bench_session"]):
            message = f"{where}: bench_session {given['bench_session']!r} is no number of a bench session"
            raise CsvError(message)
        given["bench_session"] = int(given["bench_session"])
    return given
