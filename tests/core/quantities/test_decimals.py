from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import QuantityError
from logbook.core.quantities import EXACT, canonical_text, decimal_of, parse_number, without_trailing_zeros


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("3.300", "3.300"),
        ("-98", "-98"),
        ("\u221298", "-98"),
        ("+5", "5"),
        (".5", "0.5"),
        ("3.", "3"),
        ("1e-9", "0.000000001"),
        ("1.2E3", "1200"),
        ("-0.0", "0.0"),
        (" 7 ", "7"),
        ("1e40", "1" + 40 * "0"),
    ],
)
def test_it_reads_numbers_and_keeps_their_digits(text: str, canonical: str) -> None:
    assert canonical_text(parse_number(text)) == canonical


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("1,5", "ambiguous"),
        ("12,000.5", "ambiguous"),
        ("12 000", "thousands"),
        ("1.000.000", "thousands"),
        ("1_000", "thousands"),
        ("nan", "finite"),
        ("-Infinity", "finite"),
        ("0x10", "not a number"),
        ("1e", "not a number"),
        ("--1", "not a number"),
        ("१२", "not a number"),
        ("1e41", "outside"),
        ("1e999", "outside"),
        ("1e99999999", "not a number"),
        ("1" * 41 + "e1", "outside"),
        ("", "Nothing"),
        ("1" * 65, "at most 64"),
        ("1\x00", "printed"),
    ],
    ids=repr,
)
def test_it_refuses_what_is_no_plain_number(text: str, part: str) -> None:
    with pytest.raises(QuantityError, match=part):
        parse_number(text)


def test_it_names_the_place_of_a_bad_number() -> None:
    with pytest.raises(QuantityError) as caught:
        parse_number("1,5", where="value")
    assert (caught.value.where, caught.value.given) == ("value", "1,5")


@pytest.mark.parametrize(
    ("value", "expected"),
    [(0.1, "0.1"), (3, "3"), (Decimal("3.300"), "3.300"), ("3.30", "3.30"), (1e-12, "1E-12"), (0, "0")],
)
def test_it_takes_a_number_as_it_prints(value: Any, expected: str) -> None:
    assert str(decimal_of(value)) == expected


@pytest.mark.parametrize(
    "value",
    [True, float("nan"), float("inf"), 1e41, 10**60, Decimal("sNaN"), Decimal("1e-99"), None, b"1"],
    ids=repr,
)
def test_it_refuses_what_is_no_number(value: Any) -> None:
    with pytest.raises(QuantityError):
        decimal_of(value)


def test_it_computes_exactly_where_the_default_context_rounds() -> None:
    long = Decimal("1.0000000000000000000000000000000000001")
    assert EXACT.multiply(long, Decimal(10)) == Decimal("10.000000000000000000000000000000000001")


@pytest.mark.parametrize(("value", "short"), [("3.1350", "3.135"), ("10.0", "10"), ("0.00", "0")])
def test_it_drops_trailing_zeros_without_an_exponent(value: str, short: str) -> None:
    assert str(without_trailing_zeros(Decimal(value))) == short


def test_it_refuses_to_write_out_a_giant() -> None:
    with pytest.raises(QuantityError, match="plain digits"):
        canonical_text(Decimal("1e9999"))


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**9), max_value=10**9, places=9))
def test_it_reads_back_what_it_writes(value: Decimal) -> None:
    assert parse_number(canonical_text(value)) == value


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=1e-30, max_value=1e30))
def test_it_keeps_every_float(value: float) -> None:
    assert float(decimal_of(value)) == value
