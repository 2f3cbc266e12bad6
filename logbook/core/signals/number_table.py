"""Delimited text of numbers below a free-form head, as instruments write it.

Rule: a file is either read whole or refused with the line and column named; no row, cell or column is
dropped in silence.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats
from logbook.core.signals.decimal_marks import DecimalMark, decimal_mark_of

MAX_BYTES = 100_000_000
MAX_ROWS = 5_000_000
MAX_COLUMNS = 32
MAX_VALUES = 20_000_000
LONGEST_HEAD = 500
# Squares of anything larger would overflow.
LARGEST = 1e100
LONGEST_LINE = 20_000
# One scope family writes its settings in the first columns of the first data lines.
SETTINGS_BESIDE_DATA = 64
_NUMBER = re.compile(
    r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?|[+-]?(?:nan|inf|infinity)", re.ASCII | re.I
)


@dataclass(frozen=True, slots=True, eq=False)
class NumberTable:
    """The numbers of a file, the lines above them, and where each column stood.

    Parameters
    ----------
    head : tuple of tuple of str
        Cells of the lines that are not data, and of settings beside the data.
    values : numpy.ndarray
        Shape (rows, columns), finite.
    first_column : int
        Columns of the file left of the data.
    first_line : int
        Line number of the first data row, counted from 1.
    first_cells, last_cells : tuple of str
        First and last row as written, with decimal points; their digits tell the resolution.
    """

    head: tuple[tuple[str, ...], ...]
    values: Floats
    first_column: int
    first_line: int
    first_cells: tuple[str, ...]
    last_cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Shape:
    delimiter: str
    leading: int
    used: int
    trailing: int
    mark: DecimalMark

    @property
    def width(self) -> int:
        return self.leading + self.used + self.trailing

    def data_of(self, cells: list[str]) -> list[str]:
        return cells[self.leading : self.leading + self.used]


def read_number_table(
    data: bytes, *, max_bytes: int = MAX_BYTES, max_rows: int = MAX_ROWS, max_columns: int = MAX_COLUMNS
) -> NumberTable:
    """Read delimited numbers below any head.

    Columns are kept apart by commas, semicolons or tabs. Between semicolons or tabs the decimals of every
    number may stand behind a comma.

    Parameters
    ----------
    data : bytes
        The file: UTF-8, with or without byte order mark, UTF-16 with one, or Latin-1.
    max_bytes, max_rows, max_columns : int
        Caps; beyond them the file is refused before it is taken apart.

    Returns
    -------
    NumberTable
        Numbers and head.

    Raises
    ------
    SignalError
        When the file is empty, too large, not text, mixes decimal points and commas, or holds a cell that is
        empty or no finite number; the message names line and column.
    """
    text = _decoded(data, max_bytes)
    shape, last_cells = _shape_of(text, max_columns)
    head, offset, first_line = _split_head(text, shape)
    rows = text.count("\n", offset) + 1
    if rows > max_rows or rows * shape.used > MAX_VALUES:
        raise SignalError(
            f"The file has {rows} rows.", given=str(rows), allowed=f"up to {max_rows}", where="file"
        )
    body = text[offset:]
    values = _numbers(body, shape, first_line)
    end = body.find("\n")
    first_cells = _cells(body if end < 0 else body[:end], shape.delimiter)
    return NumberTable(
        tuple(_with_points(cells, shape) for cells in (*head, *_beside(body, shape))),
        values,
        shape.leading,
        first_line,
        tuple(map(shape.mark.with_points, shape.data_of(first_cells))),
        tuple(map(shape.mark.with_points, shape.data_of(last_cells))),
    )


def _decoded(data: bytes, max_bytes: int) -> str:
    if len(data) > max_bytes:
        raise SignalError(
            f"The file has {len(data)} bytes.",
            given=str(len(data)),
            allowed=f"up to {max_bytes}",
            where="file",
        )
    try:
        text = data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    if "\0" in text:
        raise SignalError("The file is not text: it holds zero bytes.", allowed="CSV text", where="file")
    text = text.replace("\r\n", "\n").replace("\r", "\n").rstrip("\n \t" if text[-1:] != "\t" else "\n")
    if not text.strip():
        raise SignalError("The file is empty.", allowed="CSV text", where="file")
    return text


def _cells(line: str, delimiter: str) -> list[str]:
    return [cell.strip().strip('"').strip() for cell in line.split(delimiter)]


def _with_points(cells: tuple[str, ...], shape: _Shape) -> tuple[str, ...]:
    return tuple(map(shape.mark.setting_with_points, cells))


def _is_number(cell: str) -> bool:
    return _NUMBER.fullmatch(cell) is not None


def _shape_of(text: str, max_columns: int) -> tuple[_Shape, list[str]]:
    line_number = text.count("\n") + 1
    line = text[text.rfind("\n") + 1 :]
    if len(line) > LONGEST_LINE:
        raise SignalError(
            f"Line {line_number} has {len(line)} characters.", allowed=f"up to {LONGEST_LINE}", where="file"
        )
    delimiter = next((mark for mark in "\t;" if mark in line), ",")
    cells = _cells(line, delimiter)
    filled = [place for place, cell in enumerate(cells) if cell]
    if not filled:
        raise SignalError(f"Line {line_number} holds no number.", given=line[:80], where="file")
    shape = _Shape(
        delimiter,
        filled[0],
        filled[-1] - filled[0] + 1,
        len(cells) - filled[-1] - 1,
        decimal_mark_of(text, delimiter),
    )
    if shape.width > max_columns:
        raise SignalError(
            f"The file has {shape.width} columns.",
            given=str(shape.width),
            allowed=f"up to {max_columns}",
            where="file",
        )
    _refuse_faulty(cells, shape, line_number)
    return shape, cells


def _refuse_faulty(cells: list[str], shape: _Shape, line_number: int) -> None:
    """Name the first cell of a data row that is no finite number."""
    where = f"line {line_number}"
    if len(cells) != shape.width:
        raise SignalError(
            f"Line {line_number} has {len(cells)} columns, the last line has {shape.width}.",
            given=str(len(cells)),
            allowed=str(shape.width),
            where=where,
        )
    for place, cell in enumerate(shape.data_of(cells), start=shape.leading + 1):
        spot = f"{where}, column {place}"
        if not cell:
            raise SignalError(f"The cell in {spot} is empty.", allowed="a number", where=spot)
        if shape.mark.is_other(cell):
            raise _other_mark(cell, spot, shape.mark)
        number = shape.mark.with_points(cell)
        if not _is_number(number) or not abs(float(number)) <= LARGEST:
            raise SignalError(
                f"{cell[:40]} in {spot} is no finite number.",
                given=cell[:40],
                allowed="a finite number",
                where=spot,
            )


def _other_mark(cell: str, spot: str, mark: DecimalMark) -> SignalError:
    other, own = ("point", "commas") if mark.is_comma else ("comma", "points")
    decided = f", but line {mark.line} has decimal {own}" if mark.line else ""
    return SignalError(
        f"{cell[:40]} in {spot} has a decimal {other}{decided}.",
        given=cell[:40],
        allowed=f"decimal {own} in every number",
        where=spot,
    )


def _split_head(text: str, shape: _Shape) -> tuple[list[tuple[str, ...]], int, int]:
    """Return the head's cells, where the data begin, and on which line."""
    head: list[tuple[str, ...]] = []
    offset, line_number = 0, 1
    while line_number <= LONGEST_HEAD:
        end = text.find("\n", offset)
        line = text[offset : end if end >= 0 else len(text)]
        if len(line) > LONGEST_LINE:
            break
        cells = _cells(line, shape.delimiter)
        data = [shape.mark.with_points(cell) for cell in shape.data_of(cells)]
        is_mixed = any(map(shape.mark.is_other, shape.data_of(cells)))
        if len(cells) == shape.width and all(map(_is_number, data)) and not is_mixed:
            return head, offset, line_number
        # A row that starts like data but does not end like it would be lost as part of the head.
        begins = _is_number(data[0]) or shape.mark.is_other(data[0]) if data else False
        if len(cells) == shape.width and begins and (shape.used > 1 or is_mixed):
            _refuse_faulty(cells, shape, line_number)
        head.append(tuple(cells))
        if end < 0:
            break
        offset, line_number = end + 1, line_number + 1
    raise SignalError(
        "No rows of numbers were found below the head.",
        allowed=f"a head of up to {LONGEST_HEAD} lines",
        where="file",
    )


def _numbers(body: str, shape: _Shape, first_line: int) -> Floats:
    columns = range(shape.leading, shape.leading + shape.used)
    if shape.mark.is_comma and "." in body:
        _find_fault(body, shape, first_line)
    try:
        values: Floats = np.loadtxt(
            io.StringIO(shape.mark.with_points(body)),
            delimiter=shape.delimiter,
            comments=None,
            quotechar='"',
            ndmin=2,
            usecols=None if shape.used == shape.width else columns,
        )
    except (ValueError, OverflowError, MemoryError, RecursionError) as error:
        _find_fault(body, shape, first_line)
        raise SignalError(
            "The rows cannot be read as numbers.", given=str(error)[:200], where="file"
        ) from error
    even = body.count(shape.delimiter) == len(values) * (shape.width - 1)
    if not even or values.shape[1] != shape.used or not (np.abs(values) <= LARGEST).all():
        _find_fault(body, shape, first_line)
        raise SignalError("The rows have different numbers of columns.", where="file")
    _refuse_text_beside(body, shape, first_line, len(values))
    return values


def _find_fault(body: str, shape: _Shape, first_line: int) -> None:
    for line_number, line in enumerate(io.StringIO(body), start=first_line):
        if line.strip():
            _refuse_faulty(_cells(line, shape.delimiter), shape, line_number)


def _refuse_text_beside(body: str, shape: _Shape, first_line: int, rows: int) -> None:
    """Columns left empty by the last row may hold settings beside the first rows, nothing further down."""
    if shape.used == shape.width:
        return
    for row, line in enumerate(io.StringIO(body)):
        if row >= min(rows, SETTINGS_BESIDE_DATA):
            cells = _cells(line, shape.delimiter)
            if any(cells[: shape.leading]) or any(cells[shape.leading + shape.used :]):
                raise SignalError(
                    f"Line {first_line + row} fills a column that the last line leaves empty.",
                    given=line.strip()[:80],
                    allowed="the same columns in every row",
                    where=f"line {first_line + row}",
                )


def _beside(body: str, shape: _Shape) -> list[tuple[str, ...]]:
    """Settings written left or right of the first data rows, one row of cells each."""
    if shape.used == shape.width:
        return []
    lines = (line for line, _ in zip(io.StringIO(body), range(SETTINGS_BESIDE_DATA), strict=False))
    rows = (_cells(line, shape.delimiter) for line in lines)
    beside = (cells[: shape.leading] + cells[shape.leading + shape.used :] for cells in rows)
    return [tuple(cells) for cells in beside if any(cells)]
