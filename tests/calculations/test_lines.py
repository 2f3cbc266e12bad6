"""Parts as lines of text."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.calculations.lines import lines_of_parts, parts_of_lines
from logbook.common.errors import InvalidInputError
from logbook.core.tolerance import parse_part

LINES = [
    ("r = 45.3k 1 %", {"nominal": "45.3k", "tolerance": "1 %"}),
    ("r = 45.3kΩ±1%", {"nominal": "45.3kΩ", "tolerance": "1%"}),
    ("v = 5 V +10 % / -5 %", {"nominal": "5 V", "tolerance": "+10 % / -5 %"}),
    ("i = 50 µA 50 µA", {"nominal": "50 µA", "tolerance": "50 µA"}),
    ("v = 1.8 V 1.5 % + 10 mV", {"nominal": "1.8 V", "tolerance": "1.5 % + 10 mV"}),
    ("r = 4k7J", {"nominal": "4k7J"}),
    ("t = 1 %", {"nominal": "1 %"}),
    ("v = 0.788 V to 0.812 V", {"low": "0.788 V", "high": "0.812 V"}),
    ("v = 0.8 V, 0.788 V to 0.81 V", {"nominal": "0.8 V", "low": "0.788 V", "high": "0.81 V"}),
    (
        "r = 10k 1 %, 100 ppm/K, -40 to 85 °C, reference 25 °C",
        {
            "nominal": "10k",
            "tolerance": "1 %",
            "tempco": "100 ppm/K",
            "temperature": {"low": "-40", "high": "85", "reference": "25"},
        },
    ),
]


@pytest.mark.parametrize(("line", "part"), LINES, ids=[line for line, _ in LINES])
def test_it_reads_a_part(line: str, part: dict[str, Any]) -> None:
    assert list(parts_of_lines(line).values()) == [part]


@pytest.mark.parametrize("line", [line for line, _ in LINES])
def test_what_it_writes_reads_as_the_same_part(line: str) -> None:
    ((name, part),) = parts_of_lines(line).items()
    ((_, again),) = parts_of_lines(lines_of_parts({name: part})).items()
    assert again == part
    assert parse_part(name, again) == parse_part(name, part)


@pytest.mark.parametrize("line", ["r 10k", "= 10k", "r =", "r = k", "r = 10k, often", "r = 1\nr = 2"])
def test_it_names_the_line_it_cannot_read(line: str) -> None:
    with pytest.raises(InvalidInputError, match=r"line \d") as refused:
        parts_of_lines(line)
    assert refused.value.problems[0].field == "parts"


def test_plain_numbers_keep_the_unit_of_their_part() -> None:
    assert lines_of_parts({"v": {"nominal": "0.8", "unit": "V", "tolerance": "1 %"}}) == "v = 0.8 V ± 1 %"


@pytest.mark.parametrize(
    ("line", "hint"),
    [
        ("r = 4,7k 1 %", "holds a decimal comma; write 4.7k"),
        ("r = 10k 1 % 100 ppm/K", "needs a comma before '100 ppm/K'"),
        ("r = 10k 1 %, 100 ppm/K, -40 to 85 °C reference 25 °C", "needs a comma before 'reference 25 °C'"),
        ("r = 10k reference 25 °C", "needs a comma before 'reference 25 °C'"),
    ],
)
def test_a_comma_too_many_or_too_few_is_named(line: str, hint: str) -> None:
    with pytest.raises(InvalidInputError) as refused:
        parts_of_lines(line)
    assert hint in refused.value.problems[0].message
