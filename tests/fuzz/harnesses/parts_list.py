"""Bills of materials and rules of designators."""

from __future__ import annotations

from logbook.core.errors import PartsListError
from logbook.core.parts_list import group_designators, read_bill, read_rule, read_table, spread_designators

SEEDS = [
    b'Ref,Value,Qty\n"R1, R2",4k7,2\n"C1-C3",100n,3\n',
    b"Designator;Value;DNP\r\nU1;x;\r\nR5-R7;1k;yes\r\n",
    "Ref\tValue\nR1\t4,7 kΩ\n".encode("utf-16"),
    b"U1-U4, L*",
    b'board tern\n\nRef|Qty|Fitted\n"R1"|1|no\n',
]


def read(data: bytes) -> None:
    """Read the bytes as a table and as a rule; designators are written so that they read back."""
    try:
        bill = read_bill(read_table(data))
    except PartsListError:
        bill = None
    if bill is not None and len(bill.parts) < 500:
        designators = [part.designator for part in bill.parts]
        assert list(spread_designators(group_designators(designators))) == designators
    text = data.decode("utf-8", "surrogateescape")
    try:
        assert read_rule(text)
    except PartsListError:
        return
