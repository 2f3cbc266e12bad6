"""A level differs by decibels, a temperature by kelvins (SI Brochure, 9th ed., 2.3.1 and 4)."""

from decimal import Decimal

import pytest

from logbook.core.errors import UnitMismatchError
from logbook.core.quantities import parse_difference, unit_named


@pytest.mark.parametrize(
    ("text", "of", "expected"),
    [
        pytest.param("0.5 dB", "dBV", "0.5", id="a level"),
        pytest.param("0.5 K", "°C", "0.5", id="a temperature"),
        pytest.param("500 mK", "°C", "0.5", id="millikelvins"),
        pytest.param("4 mV", "V", "0.004", id="the same quantity"),
        pytest.param("4m", "V", "0.004", id="a bare prefix"),
        pytest.param("0.5", "dBV", "0.5", id="a bare number"),
        pytest.param("30 ppm", "MHz", "0.00036864", id="a share of the value"),
        pytest.param("2 %", "ppm", "20000", id="a share of nothing: percent and ppm convert"),
    ],
)
def test_it_is_read_in_the_unit_of_what_differs(text: str, of: str, expected: str) -> None:
    assert parse_difference(text, unit_named(of), share_of=Decimal("12.288")) == Decimal(expected)


@pytest.mark.parametrize(
    ("text", "of"),
    [
        pytest.param("1 dBV", "dBm", id="levels with other references"),
        pytest.param("1 %", "dBV", id="a share of a level"),
        pytest.param("1 %", "°C", id="a share of a temperature"),
        pytest.param("1 mA", "V", id="another quantity"),
    ],
)
def test_what_cannot_be_a_difference_is_refused(text: str, of: str) -> None:
    with pytest.raises(UnitMismatchError):
        parse_difference(text, unit_named(of), share_of=Decimal(3))


def test_a_share_needs_a_value() -> None:
    with pytest.raises(UnitMismatchError):
        parse_difference("1 %", unit_named("V"))
