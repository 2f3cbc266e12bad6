"""Readings from a table."""

from __future__ import annotations

from datetime import UTC, datetime
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from logbook.bench.commands.importing import ImportReport, decoded, delimiter_of, import_readings
from logbook.bench.models import Measurement
from logbook.common.changes import Actor
from logbook.common.errors import InvalidInputError
from tests.builders import Bench

GOOD = "board,target,value,unit,key\n0001,RLD-2,3.298,V,k1\n0001,RLD-2,3301,mV,k2\n"


def imported(
    bench: Bench, text: str, taken_at: datetime | None = None, encoding: str = "utf-8"
) -> ImportReport:
    actor = Actor(bench.editor, "csv")
    return import_readings(actor=actor, project=bench.project, data=text.encode(encoding), taken_at=taken_at)


def problem_of(report: ImportReport, place: int = 0) -> tuple[int, str, str, str]:
    row = report.rejected[place]
    assert row.result.error is not None
    problem = row.result.error.problems[0]
    return row.line, problem.field, problem.given, problem.allowed


def test_it_stores_each_row_through_the_door_of_every_reading(bench: Bench) -> None:
    bench.target()
    report = imported(bench, GOOD)
    stored = Measurement.objects.order_by("id")
    assert [(one.text, one.unit, one.verdict, one.via) for one in stored] == [
        ("3.298", "V", "pass", "csv"),
        ("3301", "mV", "pass", "csv"),
    ]
    assert len(report.stored) == 2


def test_it_stores_nothing_twice_when_the_file_comes_again(bench: Bench) -> None:
    bench.target()
    imported(bench, GOOD)
    assert len(imported(bench, GOOD).duplicates) == 2
    assert Measurement.objects.count() == 2


@pytest.mark.parametrize("mark", [",", ";", "\t"], ids=["comma", "semicolon", "tab"])
def test_it_finds_the_delimiter(bench: Bench, mark: str) -> None:
    bench.target()
    assert len(imported(bench, GOOD.replace(",", mark)).stored) == 2


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1"])
def test_it_reads_the_encodings_of_spreadsheets(bench: Bench, encoding: str) -> None:
    bench.target(limits="<= 100 us", key="RLD-7")
    report = imported(bench, "board,target,value,key\n0001,RLD-7,40 µs,k1\n", encoding=encoding)
    assert [row.result.status for row in report.rows] == ["stored"]


def test_it_names_line_field_and_what_is_allowed(bench: Bench) -> None:
    bench.target()
    report = imported(bench, GOOD + "\n0009,RLD-2,3.3,V,k3\n")
    assert problem_of(report) == (5, "board", "0009", "0001")
    assert len(report.stored) == 2


def test_it_refuses_a_decimal_comma_and_keeps_the_others(bench: Bench) -> None:
    bench.target()
    report = imported(bench, "board;target;value;key\n0001;RLD-2;3,298;k1\n0001;RLD-2;3.298;k2\n")
    assert problem_of(report)[:3][:2] == (2, "value")
    assert len(report.stored) == 1


@pytest.mark.parametrize(
    ("column", "cell"),
    [("taken_at", "yesterday"), ("taken_at", "2026-02-30T10:00:00Z"), ("bench_session", "12a")],
)
def test_it_refuses_a_cell_of_the_wrong_shape(bench: Bench, column: str, cell: str) -> None:
    bench.target()
    report = imported(bench, f"board,target,value,key,{column}\n0001,RLD-2,3.3,k1,{cell}\n")
    assert problem_of(report)[:3] == (2, column, cell)


def test_it_refuses_a_row_without_a_key_or_a_time(bench: Bench) -> None:
    bench.target()
    report = imported(bench, "board,target,value\n0001,RLD-2,3.3\n")
    assert problem_of(report)[3] == "key or taken_at"


def test_one_time_serves_the_rows_that_state_none(bench: Bench) -> None:
    bench.target()
    moment = datetime(2026, 5, 2, 10, 22, tzinfo=UTC)
    imported(bench, "board,target,value\n0001,RLD-2,3.3\n", taken_at=moment)
    assert Measurement.objects.get().taken_at == moment


def test_it_refuses_more_cells_than_columns(bench: Bench) -> None:
    bench.target()
    report = imported(bench, "board,target,value,key\n0001,RLD-2,3.3,k1,oops\n")
    assert problem_of(report)[:2] == (2, "row")


def test_it_says_which_columns_it_did_not_read(bench: Bench) -> None:
    bench.target()
    assert imported(bench, "board,target,value,key,weather\n0001,RLD-2,3.3,k1,rain\n").ignored == ("weather",)


@pytest.mark.parametrize(
    "text",
    ["", "target,value\nRLD-2,3\n", "board,value,board\n1,2,3\n", 'board,value\n"0001,3\n'],
    ids=["empty", "no board column", "a column twice", "an open quotation"],
)
def test_it_refuses_what_is_no_table_of_readings(bench: Bench, text: str) -> None:
    with pytest.raises(InvalidInputError) as refused:
        imported(bench, text)
    assert refused.value.problems[0].field == "file"


def test_it_refuses_too_large_a_file() -> None:
    with pytest.raises(InvalidInputError, match="too large"):
        decoded(b"x" * (10 * 1024 * 1024 + 1))


def test_it_refuses_an_encoding_it_cannot_read() -> None:
    with pytest.raises(InvalidInputError, match="encoding"):
        decoded(GOOD.encode("utf-16"))


def test_a_note_kept_from_running_as_a_formula_comes_back_as_it_was(bench: Bench) -> None:
    bench.target()
    imported(bench, "board,target,value,key,note\n0001,RLD-2,3.3,k1,'=odd\n")
    assert Measurement.objects.get().note == "=odd"


def test_the_delimiter_is_a_comma_where_none_occurs() -> None:
    assert delimiter_of("board") == ","


def test_a_quoted_cell_over_two_lines_counts_as_two_lines(bench: Bench) -> None:
    bench.target()
    text = 'board,target,value,key,note\n0001,RLD-2,3.3,k1,"two\nlines"\n0009,RLD-2,3.3,k2,\n'
    assert problem_of(imported(bench, text))[0] == 4


def test_the_command_goes_through_the_same_door(bench: Bench, tmp_path: Path) -> None:
    bench.target()
    file = tmp_path / "readings.csv"
    file.write_text(GOOD, encoding="utf-8")
    out = StringIO()
    call_command("import_readings", "tern", str(file), user="editor-tern", stdout=out)
    assert "2 stored, 0 already there, 0 rejected" in out.getvalue()


def test_the_command_ends_with_an_error_when_a_row_was_refused(bench: Bench, tmp_path: Path) -> None:
    bench.target()
    file = tmp_path / "readings.csv"
    file.write_text(GOOD + "0009,RLD-2,3.3,V,k3\n", encoding="utf-8")
    err = StringIO()
    with pytest.raises(CommandError, match="1 rows were rejected"):
        call_command("import_readings", "tern", str(file), user="editor-tern", stdout=StringIO(), stderr=err)
    assert "line 4, board" in err.getvalue()


@pytest.mark.parametrize("name", ["reader-tern", "stranger-tern", "nobody"])
def test_the_command_refuses_who_may_not_record(bench: Bench, tmp_path: Path, name: str) -> None:
    file = tmp_path / "readings.csv"
    file.write_text(GOOD, encoding="utf-8")
    with pytest.raises(CommandError):
        call_command("import_readings", "tern", str(file), user=name)
