"""Where the uncertainty of a reading comes from: stated, a range of the instrument, or nowhere."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.bench.commands import add_instrument
from logbook.common.errors import InvalidInputError
from tests.builders import Bench

RANGES = [
    {"name": "10 V", "unit": "V", "full_scale": "10", "percent_of_reading": "0.1", "resolution": "0.001"},
    {"name": "1 V", "unit": "V", "full_scale": "1", "percent_of_reading": "0.05", "resolution": "0.0001"},
    {"name": "200 mV", "unit": "mV", "full_scale": "200", "percent_of_reading": "0.02", "counts": "3",
     "resolution": "0.01"},
    {"name": "1 A", "unit": "A", "full_scale": "1", "percent_of_reading": "1"},
]  # fmt: skip


@pytest.fixture
def metered(bench: Bench) -> Bench:
    """Return the bench with a meter and a target that takes any voltage."""
    add_instrument(actor=bench.actor, name="M-1", kind="meter", ranges=RANGES)
    bench.target(limits="-20..20 V")
    return bench


@pytest.mark.parametrize(
    ("value", "chosen"),
    [
        ("3.3", "10 V"),
        ("1", "1 V"),
        ("1.0001", "10 V"),
        ("-0.2", "200 mV"),
        ("200 mV", "200 mV"),
        ("0", "200 mV"),
        ("10", "10 V"),
    ],
    ids=str,
)
def test_the_smallest_range_that_holds_the_value_states_the_uncertainty(
    metered: Bench, value: str, chosen: str
) -> None:
    stored = metered.read(value, instrument="M-1")
    assert stored.instrument_range is not None
    assert (stored.instrument_range.name, stored.uncertainty_from) == (chosen, "instrument")


def test_the_uncertainty_of_a_range_is_that_of_the_guide(metered: Bench) -> None:
    """0.1 % of 3.3 V and a step of 1 mV, both rectangular (JCGM 100:2008, 4.3.7 and F.2.2.1)."""
    stored = metered.read("3.3", instrument="M-1")
    expected = 2 * ((3.3e-3 / 3**0.5) ** 2 + (1e-3 / 12**0.5) ** 2) ** 0.5
    assert float(stored.expanded_uncertainty) == pytest.approx(expected, rel=1e-3)
    assert (Decimal(stored.coverage_factor), stored.degrees_of_freedom) == (2, None)


def test_the_kept_standard_uncertainty_is_in_the_base_unit(metered: Bench) -> None:
    stored = metered.read("100 mV", instrument="M-1")
    assert stored.uncertainty_base == pytest.approx(float(stored.expanded_uncertainty) / 2000, rel=1e-9)


def test_a_named_range_is_taken_though_a_smaller_one_holds_the_value(metered: Bench) -> None:
    stored = metered.read("0.1", instrument="M-1", instrument_range="10 V")
    assert stored.instrument_range is not None
    assert stored.instrument_range.name == "10 V"


@pytest.mark.parametrize("name", ["1 A", "100 V"], ids=["of another unit", "unknown"])
def test_a_range_that_is_none_of_the_unit_is_refused(metered: Bench, name: str) -> None:
    with pytest.raises(InvalidInputError, match="has no range") as caught:
        metered.read("0.1", instrument="M-1", instrument_range=name)
    assert caught.value.problems[0].allowed == "10 V, 1 V, 200 mV"


def test_no_range_holding_the_value_means_no_stated_uncertainty(metered: Bench) -> None:
    stored = metered.read("10.001", instrument="M-1")
    assert (stored.expanded_uncertainty, stored.uncertainty_from, stored.rule) == ("", "", "simple")


def test_a_stated_uncertainty_wins_over_the_instrument(metered: Bench) -> None:
    stored = metered.read("3.3", instrument="M-1", expanded_uncertainty="5 mV", coverage_factor="2.5")
    assert (stored.expanded_uncertainty, stored.uncertainty_from) == ("0.005", "stated")
    assert (stored.coverage_factor, stored.uncertainty_base) == ("2.5", pytest.approx(0.002))
    assert stored.instrument_range is None


def test_yes_and_counts_carry_no_uncertainty(metered: Bench) -> None:
    metered.target("C", "0 errors", kind="count")
    assert metered.read("0", "C", instrument="M-1", expanded_uncertainty="1").expanded_uncertainty == ""


def test_a_zero_uncertainty_is_a_stated_one(bench: Bench) -> None:
    bench.target()
    stored = bench.read("3.366", expanded_uncertainty="0")
    assert (stored.verdict, stored.rule) == ("pass", "guarded")
