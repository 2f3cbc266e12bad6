from decimal import Decimal

import pytest

from logbook.core.errors import UnitMismatchError
from logbook.core.quantities import convert, unit_named


@pytest.mark.parametrize(
    ("value", "given", "wanted", "expected"),
    [
        ("3465", "mV", "V", "3.465"),
        ("5", "%", "ppm", "50000"),
        ("5", "%", "", "0.05"),
        ("30", "ppm", "", "0.00003"),
        ("2", "min", "s", "120"),
        ("96", "h", "day", "4"),
        ("1", "in", "mm", "25.4"),  # 1 in = 25.4 mm exactly, common practice
        ("10", "mil", "µm", "254"),
        ("2", "Ah", "C", "7200"),
        ("1", "kB/s", "bit/s", "8000"),
        ("1", "V/µs", "kV/s", "1000"),
        ("50", "ppm/K", "%/K", "0.005"),
        ("0", "errors", "", "0"),
    ],
)
def test_it_converts_exactly(value: str, given: str, wanted: str, expected: str) -> None:
    assert convert(Decimal(value), unit_named(given), unit_named(wanted)) == Decimal(expected)


def test_it_converts_half_a_turn_into_pi_radians() -> None:
    # π to 30 decimals: common mathematics.
    radians = convert(Decimal(180), unit_named("°"), unit_named("rad"))
    assert abs(radians - Decimal("3.141592653589793238462643383280")) < Decimal("1e-29")


@pytest.mark.parametrize(
    ("given", "wanted", "part"),
    [
        ("A", "V", "A cannot be converted into V"),
        ("K", "°C", "temperature differences"),
        ("°C", "K", "temperature differences"),
        ("dBV", "V", "reference"),
        ("dB", "V/V", "reference"),
        ("dBV", "dBu", "different references"),
        ("Vrms", "Vpp", "wave form"),
        ("mV", "mVrms", "wave form"),
        ("", "V", "a plain number cannot be converted into V"),
    ],
)
def test_it_names_both_units_and_the_reason(given: str, wanted: str, part: str) -> None:
    with pytest.raises(UnitMismatchError, match=part):
        convert(Decimal(1), unit_named(given), unit_named(wanted))
