"""A CSV file is read whole or not at all, with the columns of the site's own import."""

from __future__ import annotations

from pathlib import Path

import pytest
from board_logbook_client.csv_file import COLUMNS, CsvError, readings_of

from logbook.bench.commands.importing import COLUMNS as OF_THE_SITE

HEAD = "board,target,value,unit,key\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "readings.csv"


def test_the_columns_are_those_of_the_site() -> None:
    assert COLUMNS == OF_THE_SITE


@pytest.mark.parametrize("delimiter", [",", ";", "\t"], ids=["comma", "semicolon", "tab"])
def test_rows_become_fields(file: Path, delimiter: str) -> None:
    rows = ["board,value,unit,repeats,bench_session,key", "0001,,V,3.1 3.2,7,k"]
    file.write_text("\ufeff" + "\n".join(rows).replace(",", delimiter), "utf-8")
    assert readings_of(file) == [
        {"board": "0001", "unit": "V", "repeats": ["3.1", "3.2"], "bench_session": 7, "key": "k"}
    ]


def test_a_row_without_a_key_gets_the_same_one_each_time(file: Path) -> None:
    file.write_text("board,value,taken_at\n0001,1,2026-05-02T10:22:00Z\n0001,2,2026-05-02T10:22:00Z\n")
    first, second = readings_of(file)
    assert readings_of(file) == [first, second]
    assert first["key"] != second["key"]


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("", "line 1"),
        ("board,value,volts\n", "volts"),
        ("target,value\n", "board and value are needed"),
        (HEAD + "0001,RLD-1,3.3,V\n", "line 2: give key or taken_at"),
        (HEAD + "0001,RLD-1,3.3,V,k,more\n", "6 cells under 5 columns"),
        ("board,value,bench_session,key\n0001,3.3,first,k\n", "'first' is no number"),
        ("board,value,bench_session,key\n0001,3.3,²,k\n", "'²' is no number"),
        ("board,value\n\n0001,3.3\n", "line 3"),
        ('board,value,note\n0001,1,"two\nlines"\n', "line 2: give key"),
        ('board,value,note,key\n0001,1,"two\nlines",k\n0001,2,\n', "line 4: give key"),
        ("board,value,Value,key\n0001,1,2,k\n", "'value' stands there twice"),
        ('board,value,key\n0001,1,"k\n', "line 2: cannot be read as a table"),
        (f"board,value,note,key\n0001,1,{'x' * 140_000},k\n", "line 2: cannot be read as a table"),
    ],
    ids=[
        "empty", "unknown column", "no board", "no key", "too many", "session", "no digit", "blank line",
        "lines in a cell", "lines before", "column twice", "open quotes", "long cell",
    ],
)  # fmt: skip
def test_what_is_wrong_is_named_with_its_line(file: Path, text: str, complaint: str) -> None:
    file.write_text(text)
    with pytest.raises(CsvError, match=complaint):
        readings_of(file)


def test_it_reads_what_the_site_reads(file: Path) -> None:
    """Names of columns in any case, and an apostrophe before a sign."""
    file.write_text("\nBoard,Value,Taken At\n0001,'-5 V,2026-05-02T10:22:00Z\n")
    (row,) = readings_of(file)
    assert (row["value"], row["taken_at"]) == ("-5 V", "2026-05-02T10:22:00Z")


def test_a_file_of_an_old_instrument_is_read(file: Path) -> None:
    file.write_bytes(b"board,value,unit,key\n0001,12,\xb5V,k\n")
    assert readings_of(file)[0]["unit"] == "µV"


def test_a_file_that_is_not_there_is_named(file: Path) -> None:
    with pytest.raises(CsvError, match="readings.csv cannot be read"):
        readings_of(file)
