"""What may be typed for one reading, by the kind of its target."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from logbook.bench.commands.values import read_coverage_factor, read_uncertainty, read_value
from logbook.bench.models import TargetIssue
from logbook.common.errors import InvalidInputError
from logbook.core.quantities import unit_named

ISSUES = {
    "number": TargetIssue(kind="number", unit="V"),
    "count": TargetIssue(kind="count"),
    "yes/no": TargetIssue(kind="yes/no"),
    "seen working": TargetIssue(kind="seen working"),
}


def read(kind: str, given: Any, unit: str = "") -> tuple[str, Decimal | None, str, int | None]:
    found = read_value(given, unit, ISSUES[kind])
    return found.outcome, found.value, found.unit.symbol, found.trials


@pytest.mark.parametrize(
    ("given", "unit", "value", "read_as"),
    [
        ("3.300", "", "3.300", "V"),
        ("3.298 V", "", "3.298", "V"),
        ("3298", "mV", "3298", "mV"),
        ("3298 mV", "", "3298", "mV"),
        ("3V3", "", "3.3", "V"),
        ("  3.3  ", "", "3.3", "V"),
        ("−0.5 V", "", "-0.5", "V"),
        ("1e-3", "", "0.001", "V"),
        (3, "", "3", "V"),
        (3.3, "", "3.3", "V"),
        (Decimal("3.30"), "", "3.30", "V"),
        (0.1 + 0.2, "", "0.30000000000000004", "V"),
    ],
    ids=str,
)
def test_it_reads_a_number(given: Any, unit: str, value: str, read_as: str) -> None:
    assert read("number", given, unit) == ("number", Decimal(value), read_as, None)


def test_it_keeps_the_digits_that_were_typed() -> None:
    assert read_value(" 3.300 ", "", ISSUES["number"]).text == "3.300"


@pytest.mark.parametrize(
    ("given", "count", "trials"),
    [
        ("0", 0, None),
        ("7", 7, None),
        (7, 7, None),
        ("3 errors", 3, None),
        ("99 of 100", 99, 100),
        ("0 of 1e7", 0, 10_000_000),
        ("0 in 1e7", 0, 10_000_000),
        ("0 errors in 1e7", 0, 10_000_000),
        ("1 error in 10", 1, 10),
        ("-0", 0, None),
    ],
    ids=str,
)
def test_it_reads_a_count(given: Any, count: int, trials: int | None) -> None:
    assert read("count", given) == ("count", Decimal(count), "", trials)


@pytest.mark.parametrize(
    "given",
    [
        "-1",
        "1.5",
        "101 of 100",
        "1e19",
        "5%",
        "30ppm",
        "0 of 0",
        "0 of -5",
        "0 V",
        "0/5",
        "many",
        "1 of 2 of 3",
    ],
)
def test_it_refuses_what_cannot_be_a_count(given: str) -> None:
    with pytest.raises(InvalidInputError):
        read("count", given)


@pytest.mark.parametrize(
    ("given", "value"),
    [("yes", 1), ("NO", 0), ("y", 1), ("n", 0), (True, 1), (False, 0), (1, 1), (0, 0), ("true", 1)],
    ids=str,
)
def test_it_reads_yes_or_no(given: Any, value: int) -> None:
    assert read("yes/no", given) == ("yes/no", Decimal(value), "", None)


@pytest.mark.parametrize("kind", ISSUES)
@pytest.mark.parametrize("word", ["seen working", "not working", "Inconclusive"])
def test_every_kind_of_target_takes_the_words(kind: str, word: str) -> None:
    assert read(kind, word) == (word.lower(), None, "", None)


@pytest.mark.parametrize(("given", "outcome"), [("yes", "seen working"), (False, "not working")])
def test_yes_and_no_serve_a_target_that_is_only_seen(given: Any, outcome: str) -> None:
    assert read("seen working", given)[0] == outcome


@pytest.mark.parametrize(
    ("kind", "given"),
    [
        ("yes/no", "3.3 V"),
        ("yes/no", "maybe"),
        ("yes/no", 2),
        ("seen working", "3.3 V"),
        ("number", "yes"),
        ("number", True),
        ("count", True),
    ],
)
def test_it_refuses_another_kind_of_result(kind: str, given: Any) -> None:
    with pytest.raises(InvalidInputError) as caught:
        read(kind, given)
    assert caught.value.problems[0].field == "value"


def test_it_refuses_a_decimal_comma_and_says_so() -> None:
    with pytest.raises(InvalidInputError, match="comma"):
        read("number", "3,3")


@pytest.mark.parametrize(("given", "unit"), [("3.3 A", ""), ("3.3", "A"), ("3.3 dBV", ""), ("1 kΩ", "")])
def test_it_names_both_units_that_do_not_convert(given: str, unit: str) -> None:
    with pytest.raises(InvalidInputError, match="V") as caught:
        read("number", given, unit)
    assert caught.value.problems[0].code == "unit_mismatch"


HOSTILE = {
    "empty": "",
    "blank": "   ",
    "not a number": "nan",
    "infinite": "inf",
    "float nan": float("nan"),
    "float inf": float("inf"),
    "decimal nan": Decimal("NaN"),
    "hexadecimal": "0x10",
    "underscored": "1_000",
    "thousands": "1,000",
    "huge exponent": "1e999",
    "huge integer": 10**5000,
    "very long": "9" * 65,
    "markup": "<script>alert(1)</script>",
    "formula": "=1+1",
    "NUL": "3.3\x00",
    "half a character": "3.3\ud800",
    "other digits": "٣.٣",
    "full width": "３.３x",
    "expression": "3.3*2",
    "many dots": "3.3.3",
    "list": [3.3],
    "nothing": None,
    "object": {"value": 3.3},
}


@pytest.mark.parametrize("given", HOSTILE.values(), ids=HOSTILE)
@pytest.mark.parametrize("kind", ["number", "count", "yes/no", "seen working"])
def test_it_refuses_hostile_text_by_name(kind: str, given: Any) -> None:
    with pytest.raises(InvalidInputError) as caught:
        read(kind, given)
    assert caught.value.problems[0].field in {"value", "unit"}


def test_a_loose_reading_is_a_number_in_any_unit() -> None:
    found = read_value("12.288 MHz", "", None)
    assert (found.outcome, found.value, found.unit.symbol) == ("number", Decimal("12.288"), "MHz")


@pytest.mark.parametrize(
    ("given", "unit", "value"),
    [
        ("4 mV", "V", "0.004"),
        ("0.004", "V", "0.004"),
        (0.004, "V", "0.004"),
        (Decimal("4"), "mV", "4"),
        ("0", "V", "0"),
        ("0.5 K", "°C", "0.5"),
        ("500mK", "°C", "0.5"),
        ("0.5", "°C", "0.5"),
    ],
    ids=str,
)
def test_it_reads_an_uncertainty_in_the_unit_of_the_reading(given: Any, unit: str, value: str) -> None:
    assert read_uncertainty(given, unit_named(unit)) == Decimal(value)


@pytest.mark.parametrize("given", ["-1 mV", "4 mA", "0.5 K", "4 %", "", "nan", True, [1]], ids=str)
def test_it_refuses_an_impossible_uncertainty(given: Any) -> None:
    with pytest.raises(InvalidInputError) as caught:
        read_uncertainty(given, unit_named("V"))
    assert caught.value.problems[0].field == "expanded_uncertainty"


@pytest.mark.parametrize(
    ("given", "factor"), [(None, "2"), ("", "2"), ("2.00", "2"), (1.96, "1.96"), (3, "3")]
)
def test_it_reads_the_coverage_factor(given: Any, factor: str) -> None:
    assert read_coverage_factor(given) == Decimal(factor)


@pytest.mark.parametrize("given", [0, -2, 21, "two", float("nan"), Decimal("Infinity")], ids=str)
def test_it_refuses_an_impossible_coverage_factor(given: Any) -> None:
    with pytest.raises(InvalidInputError) as caught:
        read_coverage_factor(given)
    assert caught.value.problems[0].field == "coverage_factor"
