"""Encoding, delimiter and header of a bill of materials.

The cases of quoting are those of RFC 4180 (2005), section 2, rules 5 to 7.
"""

from __future__ import annotations

import pytest

from logbook.core.errors import PartsListError
from logbook.core.parts_list import MAX_BYTES, read_table

SAME = "Reference,Value,Qty\r\nR1,4k7 Ω,1\r\n"


@pytest.mark.parametrize(
    ("data", "encoding"),
    [
        (SAME.encode(), "UTF-8"),
        (SAME.encode("utf-8-sig"), "UTF-8 with mark"),
        (b"\xff\xfe" + SAME.encode("utf-16-le"), "UTF-16"),
        (b"\xfe\xff" + SAME.encode("utf-16-be"), "UTF-16"),
    ],
    ids=["utf-8", "with mark", "utf-16 little", "utf-16 big"],
)
def test_the_encoding_is_recognised(data: bytes, encoding: str) -> None:
    table = read_table(data)
    assert (table.encoding, table.rows[0].cells) == (encoding, ("R1", "4k7 Ω", "1"))


def test_what_is_not_utf_8_is_said_to_be_windows_1252() -> None:
    # 0xB5 is the micro sign and 0x80 the euro sign of code page 1252.
    table = read_table(b"Ref,Value\nC1,10 \xb5F\nX1,\x80\n")
    assert table.encoding == "Windows-1252"
    assert [row.cells[1] for row in table.rows] == ["10 µF", "€"]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"], ids=["comma", "semicolon", "tab", "bar"])
def test_the_delimiter_is_recognised(delimiter: str) -> None:
    text = f'Designator{delimiter}Value{delimiter}Description\n"R1, R2"{delimiter}4k7{delimiter}a; b, c | d\n'
    quoted = text.replace("a; b, c | d", '"a; b, c | d"')
    table = read_table(quoted.encode())
    assert table.delimiter == delimiter
    assert table.rows[0].cells == ("R1, R2", "4k7", "a; b, c | d")


@pytest.mark.parametrize(
    ("row", "cells"),
    [
        ('"R1","4k7"', ("R1", "4k7")),
        ('R1,"0805, hand ""soldered"""', ("R1", '0805, hand "soldered"')),
        ('"R1\r\nR2",4k7', ("R1\r\nR2", "4k7")),
    ],
    ids=["rule 5 quoted", "rule 7 doubled quote", "rule 6 line break"],
)
def test_quoting_is_that_of_rfc_4180(row: str, cells: tuple[str, ...]) -> None:
    assert read_table(f"Ref,Value\r\n{row}\r\n".encode()).rows[0].cells == cells


def test_lines_are_counted_as_an_editor_shows_them() -> None:
    table = read_table(b'Ref,Value\n\n"R1\nR2",4k7\nR3,10k\n')
    assert [row.line for row in table.rows] == [3, 5]


def test_lines_above_the_header_are_passed_over() -> None:
    table = read_table(b"Board: invented\nDate,2024-08-28\n\nItem;Qty;Reference;Value\n1;1;R1;4k7\n")
    assert table.header == ("Item", "Qty", "Reference", "Value")
    assert table.rows[0].cells == ("1", "1", "R1", "4k7")


def test_an_unknown_header_is_the_first_line() -> None:
    assert read_table(b"Bauteil,Wert\nR1,4k7\n").header == ("Bauteil", "Wert")


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "empty"),
        (b" \n\n", "empty"),
        (b"\x00\x01\x02", "no text"),
        (b"\x81\x8d", "no text"),
        (b'Ref,Value\nR1,"4k7\n', "Line 2"),
        (b"x" * (MAX_BYTES + 1), "too large"),
        (b"Ref,Value\n" + b"R1,1\n" * 20_001, "too large"),
    ],
    ids=["nothing", "blank", "zero bytes", "no code page", "open quote", "bytes", "rows"],
)
def test_what_is_no_table_is_refused(data: bytes, reason: str) -> None:
    with pytest.raises(PartsListError, match=reason):
        read_table(data)
