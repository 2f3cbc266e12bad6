"""A CSV file of readings, with the columns the site's own import takes."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from pathlib import Path
from typing import Any

COLUMNS = (
    "board", "target", "point", "value", "unit", "repeats", "expanded_uncertainty", "coverage_factor",
    "taken_at", "instrument", "instrument_range", "bench_session", "firmware", "place", "note", "key",
)  # fmt: skip
DELIMITERS = ",;\t"


class CsvError(ValueError):
    """The file cannot be read as readings; nothing of it was recorded."""


def readings_of(path: Path) -> list[dict[str, Any]]:
    """Return the rows as fields of readings; all or none, so that a half-read file is never half recorded."""
    text = _text_of(path)
    first = text.split("\n", 1)[0]
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=max(DELIMITERS, key=first.count)))
    header = [name.strip() for name in rows[0]] if rows else []
    unknown = [name for name in header if name not in COLUMNS]
    if unknown or "board" not in header or not {"value", "repeats"} & set(header):
        needed = f"columns are {', '.join(COLUMNS)}; board and value are needed"
        message = f"{path}, line 1: {unknown or header}; {needed}"
        raise CsvError(message)
    return [_reading(header, row, f"{path}, line {line}") for line, row in enumerate(rows[1:], 2) if any(row)]


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


def _reading(header: list[str], row: list[str], where: str) -> dict[str, Any]:
    if len(row) > len(header):
        message = f"{where}: {len(row)} cells under {len(header)} columns"
        raise CsvError(message)
    given: dict[str, Any] = {name: cell.strip() for name, cell in zip(header, row) if cell.strip()}
    if "key" not in given and "taken_at" not in given:
        message = f"{where}: give key or taken_at, or posting the file again would record the reading twice"
        raise CsvError(message)
    if "key" not in given:
        given["key"] = hashlib.sha256(json.dumps(given, sort_keys=True).encode()).hexdigest()
    if "repeats" in given:
        given["repeats"] = given["repeats"].replace(",", " ").split()
    if "bench_session" in given:
        if not given["bench_session"].isdigit():
            message = f"{where}: bench_session {given['bench_session']!r} is no number"
            raise CsvError(message)
        given["bench_session"] = int(given["bench_session"])
    return given
