from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import QuantityError
from logbook.core.quantities import format_engineering, format_quantity, parse_quantity
from tests.core.quantities.golden import ENTRIES

A32 = ENTRIES["A-32"]


@pytest.mark.parametrize(("value", "text"), list(zip(A32["inputs"]["values"], A32["expected"], strict=True)))
def test_it_writes_engineering_notation(value: float, text: str) -> None:
    assert format_engineering(value, A32["inputs"]["digits"]) == text


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(999.5, 3, "1.00 k"), (0.9996, 3, "1.00"), (123456, 2, "120 k"), (1, 1, "1"), (-0.0, 3, "0.00")],
)
def test_it_carries_into_the_next_prefix(value: float, digits: int, text: str) -> None:
    assert format_engineering(value, digits) == text


@pytest.mark.parametrize(
    ("value", "unit", "options", "text"),
    [
        (Decimal("3.300"), "V", {}, "3.300 V"),
        (Decimal("3298.04"), "mV", {"uncertainty": Decimal("4.1")}, "3.2980 V"),
        (Decimal("3298.04"), "mV", {"uncertainty": 41}, "3.298 V"),
        (Decimal("999.96"), "mV", {"uncertainty": Decimal(3)}, "1.0000 V"),
        (Decimal("0.1"), "µV", {"uncertainty": 3}, "100 nV"),
        (Decimal(0), "V", {"uncertainty": Decimal("0.002")}, "0.0000 V"),
        (Decimal("0.00"), "mV", {}, "0.00 mV"),
        (Decimal("38.6"), "µVrms", {"uncertainty": 2}, "38.6 µVrms"),
        (Decimal("-104.27"), "dBFS", {"uncertainty": Decimal("0.5")}, "-104.27 dBFS"),
        (Decimal("0.004"), "%", {}, "0.004 %"),
        (12288000, "Hz", {}, "12.288000 MHz"),
        (1 / 3, "V", {}, "333.333 mV"),
        (4700.0, "ohm", {}, "4.7 kΩ"),
        (Decimal("0.00047"), "F", {"digits": 3}, "470 µF"),
        (Decimal(5000), "s", {}, "5000 s"),
        (Decimal(12), "cm", {}, "120 mm"),
        (Decimal(0), "errors", {}, "0 errors"),
        (Decimal(256), "", {}, "256"),
        (Decimal("2.3"), "MB/s", {}, "2.3 MB/s"),
    ],
)
def test_it_writes_the_digits_that_are_justified(value: Any, unit: str, options: Any, text: str) -> None:
    assert format_quantity(value, unit, **options) == text


@pytest.mark.parametrize(
    "options",
    [{"digits": 0}, {"digits": 21}, {"digits": True}, {"uncertainty": -1}, {"uncertainty": float("nan")}],
)
def test_it_refuses_impossible_digits(options: Any) -> None:
    with pytest.raises(QuantityError):
        format_quantity(Decimal(1), "V", **options)


UNITS = [
    "V",
    "mV",
    "kΩ",
    "pF",
    "MHz",
    "µVrms",
    "dB",
    "%",
    "ppm",
    "",
    "errors",
    "mm",
    "MB/s",
    "min",
    "rad",
    "nV/√Hz",
]
VALUES = st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**12), max_value=10**12, places=6)


@given(VALUES, st.sampled_from(UNITS))
def test_it_reads_back_exactly_what_it_writes(value: Decimal, unit: str) -> None:
    assert parse_quantity(format_quantity(value, unit)).to(unit) == value


@given(VALUES, st.decimals(min_value="0.00001", max_value=1000, places=5), st.sampled_from(UNITS))
def test_it_loses_less_than_the_uncertainty_by_rounding(value: Decimal, spread: Decimal, unit: str) -> None:
    shown = parse_quantity(format_quantity(value, unit, uncertainty=spread)).to(unit)
    assert abs(shown - value) <= spread / 20 * Decimal("1.06")


@given(st.floats(min_value=1e-14, max_value=1e14), st.integers(min_value=3, max_value=9))
def test_it_keeps_the_mantissa_below_a_thousand(value: float, digits: int) -> None:
    mantissa, _, _ = format_engineering(value, digits).partition(" ")
    assert 1 <= float(mantissa) < 1000
    assert len(mantissa.replace(".", "")) == digits
