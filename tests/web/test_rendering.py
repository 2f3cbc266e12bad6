"""Tables for spreadsheets."""

from __future__ import annotations

import pytest

from logbook.web.rendering import csv_answer


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "@SUM(A1)", "-2+3", "\t=1", "=HYPERLINK(A1)"])
def test_a_cell_never_becomes_a_formula(text: str) -> None:
    cell = csv_answer("a.csv", ["x"], [[text]]).content.decode().splitlines()[1]
    assert cell.lstrip('"').startswith("'")


@pytest.mark.parametrize("text", ["-98", "-1e-9", "+3.3", "0001", "3V3", ""])
def test_numbers_and_words_stay_as_they_are(text: str) -> None:
    lines = csv_answer("a.csv", ["x", "y"], [[text, "z"]]).content.decode().splitlines()
    assert lines[1] == f"{text},z"


def test_nothing_is_an_empty_cell() -> None:
    assert csv_answer("a.csv", ["x", "y"], [[None, 0]]).content.decode().splitlines()[1] == ",0"
