"""A delimited table as design programs and spreadsheets write it: encoding, delimiter, header, rows."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

from logbook.core.errors import PartsListError
from logbook.core.parts_list.columns import meaning_of_column

MAX_BYTES = 5_000_000
MAX_ROWS = 20_000
MAX_COLUMNS = 100
LONGEST_HEAD = 30
DELIMITERS = (",", ";", "\t", "|")
_FORMULA_STARTS = ("=", "+", "-", "@")


@dataclass(frozen=True, slots=True)
class Row:
    """One row; ``line`` counts from 1, as an editor shows it."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """What was found in a file.

    Parameters
    ----------
    encoding : str
        UTF-8, UTF-8 with mark, UTF-16 or Windows-1252; empty where there was no file.
    delimiter : str
        ``,``, ``;``, a tab or ``|``; empty where there was no file.
    header : tuple of str
        Names above the columns.
    rows : tuple of Row
        Rows below, without empty ones.
    """

    encoding: str
    delimiter: str
    header: tuple[str, ...]
    rows: tuple[Row, ...]

    def __post_init__(self) -> None:
        if len(self.rows) > MAX_ROWS or len(self.header) > MAX_COLUMNS:
            raise PartsListError(
                "The table is too large.",
                given=f"{len(self.rows)} rows, {len(self.header)} columns",
                allowed=f"up to {MAX_ROWS} rows and {MAX_COLUMNS} columns",
                where="file",
            )


def read_table(data: bytes) -> Table:
    """Read a delimited table.

    Parameters
    ----------
    data : bytes
        UTF-8, with or without byte order mark, UTF-16 with one, else Windows-1252; cells quoted as RFC 4180
        says; comma, semicolon, tab or bar between them; up to 30 lines may stand above the header.

    Returns
    -------
    Table
        Header and rows, cells stripped of spaces around them.

    Raises
    ------
    PartsListError
        When it is too large, empty or no text, or a quoted cell is not closed.

    Notes
    -----
    The delimiter is the one under which most columns of some line near the top are recognised; the header is
    that line, else the first.

    References
    ----------
    RFC 4180 (2005), section 2.

    Examples
    --------
    >>> table = read_table(b'Ref;Value\\nR1;4k7\\n')
    >>> table.delimiter, table.rows[0].cells
    (';', ('R1', '4k7'))
    """
    text, encoding = _decoded(data)
    delimiter = max(DELIMITERS, key=lambda one: max(map(_score, _head(text, one)), default=(0, 0)))
    rows = _rows(text, delimiter)
    if not rows:
        raise PartsListError("The table is empty.", allowed="a header and rows", where="file")
    scores = [_score(row.cells) for row in rows[:LONGEST_HEAD]]
    # Only where something is recognised may lines above the header be passed over.
    start = scores.index(max(scores)) if max(scores)[0] else 0
    return Table(encoding, delimiter, rows[start].cells, tuple(rows[start + 1 :]))


def _decoded(data: bytes) -> tuple[str, str]:
    if len(data) > MAX_BYTES:
        raise PartsListError(
            "The file is too large.", given=f"{len(data)} bytes", allowed=f"up to {MAX_BYTES}", where="file"
        )
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    marked = data[:3] == b"\xef\xbb\xbf"
    tries = [("utf-16", "UTF-16")] if wide else [("utf-8-sig", "UTF-8 with mark" if marked else "UTF-8")]
    for codec, name in [*tries, ("cp1252", "Windows-1252")]:
        try:
            text = data.decode(codec)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text, name
    raise PartsListError(
        "The file is no text in an encoding that can be read.",
        allowed="UTF-8, UTF-16 with byte order mark, Windows-1252",
        where="file",
    )


def _head(text: str, delimiter: str) -> list[list[str]]:
    lines = io.StringIO(text[:100_000], newline="")
    found: list[list[str]] = []
    try:
        for cells in csv.reader(lines, delimiter=delimiter):
            found.append(cells)
            if len(found) == LONGEST_HEAD:
                break
    except csv.Error:
        # A cell beyond the limit of the reader: what came before is enough to choose by.
        return found
    return found


def _score(cells: list[str] | tuple[str, ...]) -> tuple[int, int]:
    known = {meaning_of_column(cell) for cell in cells} - {""}
    return len(known) if "designators" in known or len(known) > 1 else 0, len(cells)


def _rows(text: str, delimiter: str) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[Row] = []
    begins = 1
    try:
        for cells in reader:
            stripped = tuple(_plain(cell.strip()) for cell in cells)
            if any(stripped):
                rows.append(Row(begins, stripped))
                if len(rows) > MAX_ROWS + LONGEST_HEAD:
                    break
            begins = reader.line_num + 1
    except csv.Error as error:
        raise PartsListError(
            f"Line {begins} cannot be read as a table: {error}.",
            allowed='cells quoted as "…", a quote inside doubled',
            where="file",
        ) from error
    return rows


def _plain(cell: str) -> str:
    """Undo the apostrophe that keeps a spreadsheet from running a cell as a formula."""
    return cell[1:] if cell[:1] == "'" and cell[1:2] in _FORMULA_STARTS else cell
