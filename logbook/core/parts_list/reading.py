"""From the rows of a table to one line for each part, and what could not be read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from logbook.core.errors import PartsListError
from logbook.core.parts_list.columns import Columns, columns_of, guess_columns
from logbook.core.parts_list.designators import Designator, spread_designators
from logbook.core.parts_list.population import fitted_by_column, without_population
from logbook.core.parts_list.table import Row, Table

MOST_PARTS = 20_000
LONGEST_TEXT = 300
TEXTS = ("value", "footprint", "part_number", "maker", "description")


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a bill of materials.

    Parameters
    ----------
    designator : Designator
        Which one.
    value, footprint, part_number, maker, description : str
        As written, at most 300 characters each.
    is_fitted : bool
        Whether it is populated.
    line : int
        Line of the table it stands on, counted from 1.
    """

    designator: Designator
    value: str = ""
    footprint: str = ""
    part_number: str = ""
    maker: str = ""
    description: str = ""
    is_fitted: bool = True
    line: int = 0

    def __post_init__(self) -> None:
        for name in TEXTS:
            if len(getattr(self, name)) > LONGEST_TEXT:
                raise PartsListError(
                    f"The {name.replace('_', ' ')} is too long.",
                    given=getattr(self, name)[:80],
                    allowed=f"up to {LONGEST_TEXT} characters",
                    where=name,
                )


@dataclass(frozen=True, slots=True)
class Remark:
    """Something about one row; the row is refused, or only remarked on."""

    line: int
    says: str
    given: str = ""


@dataclass(frozen=True, slots=True)
class ReadBill:
    """What a table says.

    Parameters
    ----------
    columns : Columns
        Where each meaning was found.
    parts : tuple of Part
        Sorted by designator.
    refused : tuple of Remark
        Rows that are not among the parts, and why.
    remarks : tuple of Remark
        What is odd about rows that are.
    """

    columns: Columns
    parts: tuple[Part, ...]
    refused: tuple[Remark, ...]
    remarks: tuple[Remark, ...]


def read_bill(table: Table, names: Mapping[str, str] | None = None) -> ReadBill:
    """Read the parts of a table; a bad row costs only itself.

    Parameters
    ----------
    table : Table
        Header and rows.
    names : mapping of str to str, optional
        Meaning to column name, see `columns_of`; guessed from the header when left out.

    Returns
    -------
    ReadBill
        Parts, refused rows and remarks.

    Raises
    ------
    PartsListError
        When no column holds the designators, or there are more than 20,000 parts.

    Examples
    --------
    >>> from logbook.core.parts_list import read_table
    >>> bill = read_bill(read_table(b"Ref,Value,Qty\\n" + b'"R1, R2",4k7,2\\n'))
    >>> [str(part.designator) for part in bill.parts]
    ['R1', 'R2']
    """
    columns = columns_of(table.header, guess_columns(table.header) if names is None else names)
    seen: dict[Designator, Part] = {}
    refused: list[Remark] = []
    remarks: list[Remark] = []
    for row in table.rows:
        try:
            parts, says = _parts_of(row, columns, len(table.header))
            _refuse_repeated(parts, seen)
        except PartsListError as error:
            refused.append(Remark(row.line, _sentence(error), error.given))
            continue
        remarks += says
        seen |= {part.designator: part for part in parts}
        if len(seen) > MOST_PARTS:
            raise PartsListError(
                "There are too many parts.", given=f"{len(seen)}", allowed=f"up to {MOST_PARTS}", where="file"
            )
    ordered = tuple(seen[designator] for designator in sorted(seen))
    return ReadBill(columns, ordered, tuple(refused), tuple(remarks))


def _sentence(error: PartsListError) -> str:
    return f"{error.message.rstrip('.')} (allowed: {error.allowed})" if error.allowed else error.message


def _parts_of(row: Row, columns: Columns, width: int) -> tuple[list[Part], list[Remark]]:
    if any(row.cells[width:]):
        raise PartsListError(
            f"The row has {len(row.cells)} cells, the header {width}.", given=" | ".join(row.cells)[:80]
        )
    given = {meaning: row.cells[place] for meaning, place in columns.places.items() if place < len(row.cells)}
    designators = spread_designators(given.get("designators", ""))
    if not designators:
        raise PartsListError("The row names no designator.", given=" | ".join(row.cells)[:80])
    texts = {name: given.get(name, "") for name in TEXTS}
    texts["value"], says_not = without_population(texts["value"])
    is_fitted = fitted_by_column(given) and not says_not
    first = Part(designators[0], **texts, is_fitted=is_fitted, line=row.line)
    parts = [replace(first, designator=one) for one in designators]
    return parts, _quantity_remarks(row, given.get("quantity", ""), len(parts))


def _quantity_remarks(row: Row, quantity: str, count: int) -> list[Remark]:
    # A row of a part that is not fitted often says 0: it agrees with nothing being bought.
    try:
        agrees = not quantity or float(quantity) in {0.0, float(count)}
    except ValueError:
        return [Remark(row.line, "The quantity is no number; the designators were counted.", quantity[:80])]
    if agrees:
        return []
    says = f"The quantity is {quantity[:20]}, but {count} designator{'s' * (count > 1)} stand there."
    return [Remark(row.line, says, quantity[:80])]


def _refuse_repeated(parts: Sequence[Part], seen: Mapping[Designator, Part]) -> None:
    for part in parts:
        if part.designator in seen:
            raise PartsListError(
                f"{part.designator} already stands on line {seen[part.designator].line}.",
                given=str(part.designator),
                allowed="each designator once",
            )
