from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.limits import Limits, format_limits, parse_limits
from logbook.core.quantities import unit_named


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("3.3 V ± 2 %", "3.234 … 3.366 V"),
        ("5 V +10 % / -5 %", "4.75 … 5.50 V"),
        ("<= 20 mV", "≤ 20 mV"),
        (">= 90 dB", "≥ 90 dB"),
        ("<= 0 V", "≤ 0 V"),
        ("0 errors", "0 errors"),
        ("<= 3 errors", "≤ 3 errors"),
        ("100 of 100", "100 of 100"),
        (">= 18 of 20", "≥ 18 of 20"),
        ("<= 2 of 20", "≤ 2 of 20"),
        ("2 to 5 of 20", "2 … 5 of 20"),
        ("YES", "yes"),
        ("no", "no"),
        ("-5.05..-4.95 V", "-5.05 … -4.95 V"),
        ("0.9 to 1.1", "0.9 … 1.1"),
    ],
)
def test_it_writes_limits_in_one_line(typed: str, written: str) -> None:
    assert format_limits(parse_limits(typed)) == written


def read_back(limits: Limits) -> tuple[object, ...]:
    found = parse_limits(format_limits(limits))
    return found.kind, found.low, found.high, found.unit, found.trials, found.expected


NUMBERS = st.decimals(min_value=-10000, max_value=10000, places=5)
UNITS = st.sampled_from(["V", "mV", "dBFS", "%", "ppm", "", "s/day", "N m", "µVrms", "°C", "nV/√Hz", "min"])


@given(NUMBERS, NUMBERS, UNITS, st.sampled_from(["both", "low", "high"]))
def test_it_reads_back_the_bounds_it_writes(one: Decimal, other: Decimal, unit: str, sides: str) -> None:
    low, high = sorted([one, other])
    limits = Limits(
        "number", None if sides == "high" else low, None if sides == "low" else high, unit_named(unit)
    )
    assert read_back(limits) == ("number", limits.low, limits.high, limits.unit, None, None)


@given(st.integers(0, 50), st.integers(0, 50), st.integers(50, 60))
def test_it_reads_back_the_counts_it_writes(one: int, other: int, trials: int) -> None:
    low, high = (Decimal(bound) for bound in sorted([one, other]))
    limits = Limits("count", low, high, unit_named(""), trials=trials)
    assert read_back(limits) == ("count", low, high, unit_named(""), trials, None)


@given(st.integers(0, 50), st.integers(0, 50))
def test_it_reads_back_the_errors_it_writes(one: int, other: int) -> None:
    low, high = (Decimal(bound) for bound in sorted([one, other]))
    limits = Limits("count", low, high, unit_named("errors"))
    assert read_back(limits) == ("count", low, high, unit_named("errors"), None, None)
