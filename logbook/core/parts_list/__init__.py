"""Bills of materials: reading them from tables, comparing two, and what the differences touch.

Rule: a row that cannot be read costs only itself and is named; nothing is dropped in silence.
"""

from logbook.core.parts_list.columns import (
    MEANINGS,
    Columns,
    columns_of,
    guess_columns,
    meaning_of_column,
)
from logbook.core.parts_list.comparing import (
    Difference,
    Kind,
    Proposal,
    compare_bills,
    propose_changes,
)
from logbook.core.parts_list.designators import (
    Designator,
    group_designators,
    read_designator,
    spread_designators,
)
from logbook.core.parts_list.reading import Part, ReadBill, Remark, read_bill
from logbook.core.parts_list.rules import Term, assign_designators, read_rule
from logbook.core.parts_list.table import MAX_BYTES, MAX_ROWS, Row, Table, read_table
from logbook.core.parts_list.values import text_meaning, value_meaning

__all__ = [
    "MAX_BYTES",
    "MAX_ROWS",
    "MEANINGS",
    "Columns",
    "Designator",
    "Difference",
    "Kind",
    "Part",
    "Proposal",
    "ReadBill",
    "Remark",
    "Row",
    "Table",
    "Term",
    "assign_designators",
    "columns_of",
    "compare_bills",
    "group_designators",
    "guess_columns",
    "meaning_of_column",
    "propose_changes",
    "read_bill",
    "read_designator",
    "read_rule",
    "read_table",
    "spread_designators",
    "text_meaning",
    "value_meaning",
]
