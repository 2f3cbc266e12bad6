"""The table beside a capture: units in its headings, one a column."""

from __future__ import annotations

from dataclasses import replace

import pytest

from logbook.evidence.levels import View
from logbook.web.capture_table import table_of

VIEW = View(
    channel=0, name="CH1", unit="V", x_name="time", x_unit="s", x=[0.0, 1e-3, 2e-3], x_end=3e-3,
    low=[0.0, 1.25, -0.5], high=[0.5, 2.5, 3.3], samples_each=10, samples=30, first=0.0, last=3e-3,
)  # fmt: skip


def test_its_headings_name_the_columns_with_one_unit_each() -> None:
    table = table_of(VIEW)
    assert table.headings == ("time from, ms", "CH1 lowest, V", "CH1 highest, V")
    assert table.rows == [("0", "0", "0.5"), ("1", "1.25", "2.5"), ("2", "-0.5", "3.3")]


@pytest.mark.parametrize("unit", ["dBFS", "dB", "°", "%"])
def test_a_unit_without_prefixes_takes_none(unit: str) -> None:
    table = table_of(replace(VIEW, unit=unit, low=[-0.0001] * 3, high=[0.0002] * 3))
    assert table.headings[2] == f"CH1 highest, {unit}"
    assert table.rows[0][2] == "0.0002"


def test_lines_of_a_spectrum_have_no_lowest() -> None:
    assert table_of(VIEW, tops_only=True).headings == ("time from, ms", "CH1 highest, V")


def test_a_long_view_is_joined_into_a_few_rows_with_its_extremes() -> None:
    high = [0.0] * 1000
    high[777] = 9.0
    long = replace(VIEW, x=[place * 1e-3 for place in range(1000)], low=[0.0] * 1000, high=high)
    table = table_of(long)
    assert len(table.rows) <= 24
    assert sum(row[2] == "9" for row in table.rows) == 1


def test_lowest_and_highest_of_a_channel_share_prefix_and_step() -> None:
    table = table_of(replace(VIEW, low=[-7.10543e-18, -0.0004, 0.0004], high=[3.3, 1.2345678, 0.05]))
    assert table.headings[1:] == ("CH1 lowest, V", "CH1 highest, V")
    assert [row[1:] for row in table.rows] == [("0", "3.3"), ("-0.0004", "1.23457"), ("0.0004", "0.05")]
