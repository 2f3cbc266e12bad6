"""Column names and units out of the head of a capture."""

from __future__ import annotations

import re
from dataclasses import dataclass

from logbook.core.errors import CoreError, SignalError
from logbook.core.quantities import as_unit
from logbook.core.signals.number_table import NumberTable

_BRACKETED = re.compile(r"(.*?)[(\[{]([^()\[\]{}]*)[)\]}]\s*", re.DOTALL)
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
# Units stand behind an underscore only where the time does it so: CH_A is no current.
_TIME_AND_UNIT = re.compile(r"(?:time|t)_(?:[munpµ]?s|sec|seconds)", re.IGNORECASE)
_UNIT_BEHIND = re.compile(r"(.+)_([^_]+)")
_UNIT_LABELS = {"unit", "units"}
_SPELLED = {
    "second": "s", "seconds": "s", "sec": "s", "secs": "s", "volt": "V", "volts": "V",
    "amp": "A", "amps": "A", "ampere": "A", "amperes": "A",
    "hertz": "Hz", "degree": "deg", "degrees": "deg", "decibel": "dB",
    "millivolts": "mV", "msec": "ms", "usec": "us", "nsec": "ns",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Heading:
    """Name and unit of one column.

    Parameters
    ----------
    name : str
        As written, without the unit; may be empty.
    unit : str
        Base unit such as ``V``, the text as written where the logbook does not know it, or empty.
    factor : float
        What the column's numbers are multiplied by to be in `unit`.
    written : str
        The unit as written.
    """

    name: str
    unit: str = ""
    factor: float = 1.0
    written: str = ""


def unit_in_base(text: str) -> tuple[str, float] | None:
    """Return base unit and factor of a written unit, None where it is not known.

    Parameters
    ----------
    text : str
        Such as ``mV`` or ``Volts``.

    Returns
    -------
    tuple of str and float, or None
        Such as ``("V", 0.001)``.
    """
    try:
        unit = as_unit(_SPELLED.get(text.strip().lower(), text.strip()))
    except CoreError:
        return None
    return unit.base, float(unit.factor)


def headings_of(table: NumberTable) -> tuple[Heading, ...]:
    """Name the columns of a table from the last lines of its head.

    Parameters
    ----------
    table : NumberTable
        What was read.

    Returns
    -------
    tuple of Heading
        One for each column; nameless where the file has no head.

    Raises
    ------
    SignalError
        When the line of names has fewer cells than the data have columns, as with decimal commas.
    """
    columns = table.values.shape[1]
    cells = [row[table.first_column :] for row in table.head[: table.first_line - 1]]
    rows = [row for row in cells if any(row)]
    labelled = [row for row in rows if row[0].strip("#% :").lower() in _UNIT_LABELS]
    rows = [row for row in rows if row not in labelled and not is_setting(row, columns)]
    _refuse_too_few_names(table)
    if not rows and not labelled:
        return tuple(Heading("") for _ in range(columns))
    names, units = _names_and_units(rows, columns) if rows else ([""] * columns, [""] * columns)
    if labelled:
        units = _labelled_units(labelled[-1], columns)
    if _TIME_AND_UNIT.fullmatch(names[0]):
        names = [_UNIT_BEHIND.sub(r"\1 (\2)", name) for name in names]
    return tuple(_heading(names[place], units[place]) for place in range(columns))


def _labelled_units(row: tuple[str, ...], columns: int) -> list[str]:
    """Units of a line such as ``Unit,V``: one a column, below a first column of its own, or one for all."""
    units = [cell.strip("()[]{} ") for cell in row[1:] if cell]
    if len(units) == columns - 1:
        return ["", *units]
    return units if len(units) == columns else units[:1] * columns or [""] * columns


def _refuse_too_few_names(table: NumberTable) -> None:
    above = table.head[table.first_line - 2] if table.first_line > 1 else ()
    names, columns = [cell for cell in above if cell], table.values.shape[1]
    if 1 < len(names) < columns and not any(re.search(r"\d", cell) for cell in names[1:]):
        raise SignalError(
            f"{len(names)} names stand above {columns} columns of numbers.",
            given=", ".join(names)[:200],
            allowed="one name a column; ; between columns where decimals have commas",
            where=f"line {table.first_line - 1}",
        )


def is_setting(row: tuple[str, ...], columns: int) -> bool:
    """Whether a line of the head is a name with a value rather than names of columns.

    Parameters
    ----------
    row : tuple of str
        Cells of the line.
    columns : int
        Columns of the data.

    Returns
    -------
    bool
        True for lines such as ``Sample interval,1e-6``.
    """
    filled = [cell for cell in row if cell]
    values = sum(_begins_as_number(cell) and not _names_rail(cell) for cell in filled[1:])
    too_few = len(filled) < columns and columns > 1
    joined = len(filled) == 1 and re.search(r"[:=]\s*[+-]?\.?\d", filled[0]) is not None
    return (
        too_few
        or joined
        or (len(filled) > 1 and values > 0 and len(filled) <= 3 and values >= len(filled) - 2)
    )


def _begins_as_number(cell: str) -> bool:
    return any(mark.isdigit() for mark in cell[:1] + cell[1:2].strip("-+."))


def _names_rail(cell: str) -> bool:
    """Whether a cell is a name such as ``+3V3_D (V)``, other than a value such as ``1e-6 (s)``."""
    found = _BRACKETED.fullmatch(cell)
    return found is not None and _NUMBER.fullmatch(found[1].strip()) is None


def _names_and_units(rows: list[tuple[str, ...]], columns: int) -> tuple[list[str], list[str]]:
    last = _padded(rows[-1], columns)
    bare = [cell.strip("()[]{} ") for cell in last]
    known = sum(1 for cell in bare[:columns] if cell and unit_in_base(cell) is not None)
    if len(rows) > 1 and known * 2 >= columns - bare[:columns].count("") > 0:
        return _padded(rows[-2], columns), bare
    return last, [""] * len(last)


def _padded(row: tuple[str, ...], columns: int) -> list[str]:
    return [*row, *[""] * max(0, columns - len(row))] if len(row) >= columns - 1 else list(row)


def _heading(name: str, unit: str) -> Heading:
    name = name.lstrip("#% ").strip()
    found = _BRACKETED.fullmatch(name)
    if not unit and found:
        name, unit = found[1].strip(), found[2].strip()
    elif not unit and "/" not in name and " in " in name:
        name, unit = (part.strip() for part in name.rsplit(" in ", 1))
    if not unit and len(name.split()) == 2 and unit_in_base(name.split()[1]):
        name, unit = name.split()
    base = unit_in_base(unit) if unit else None
    return Heading(name, *(base or (unit, 1.0)), written=unit)
