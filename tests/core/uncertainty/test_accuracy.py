from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty import Accuracy, divisor

from .golden import ENTRIES, within


def dec(number):
    return Decimal(str(number))


def test_it_bounds_a_handheld_meter_stated_in_counts():
    entry = ENTRIES["C-24"]
    given_, expected = entry["inputs"], entry["expected"]
    meter = Accuracy(
        percent_of_reading=dec(given_["percent"]),
        counts=dec(given_["counts"]),
        resolution=dec(given_["resolution"]),
    )
    bound = meter.bound(dec(given_["reading"]))
    assert bound == dec(expected["limit"])
    assert float(bound) / divisor("rectangular") == within(entry, expected["u_rect"])


@pytest.mark.parametrize("key", ["C-25", "C-26"])
def test_it_bounds_a_bench_meter_stated_in_range(key):
    given_, expected = ENTRIES[key]["inputs"], ENTRIES[key]["expected"]
    meter = Accuracy(
        percent_of_reading=dec(given_["percent_reading"]),
        percent_of_range=dec(given_["percent_range"]),
        range_value=dec(given_["range"]),
    )
    bound = meter.bound(dec(given_["reading"]))
    assert bound == dec(expected["limit"])
    assert float(bound) / divisor("rectangular") == within(ENTRIES[key], expected["u_rect"])


@given(st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-1000, max_value=1000))
def test_it_takes_percent_of_the_absolute_reading(reading):
    meter = Accuracy(percent_of_reading=Decimal("0.5"), absolute=Decimal("0.002"))
    assert meter.bound(reading) == meter.bound(-reading) == abs(reading) * Decimal("0.005") + Decimal("0.002")


def test_it_leaves_the_display_step_to_counts():
    assert Accuracy(counts=Decimal(2), resolution=Decimal("0.001")).display_step is None
    assert Accuracy(absolute=Decimal(1), resolution=Decimal("0.001")).display_step == Decimal("0.001")


@pytest.mark.parametrize(
    ("parts", "where"),
    [
        pytest.param({"counts": Decimal(3)}, "resolution", id="counts without resolution"),
        pytest.param({"percent_of_range": Decimal(1)}, "range_value", id="percent of no range"),
        pytest.param({"percent_of_reading": Decimal(-1)}, "percent_of_reading", id="negative"),
        pytest.param({"absolute": Decimal("nan")}, "absolute", id="not a number"),
        pytest.param({"absolute": Decimal("inf")}, "absolute", id="infinite"),
        pytest.param({"resolution": Decimal(0)}, "resolution", id="no step"),
        pytest.param({}, "accuracy", id="nothing"),
        pytest.param({"range_value": Decimal(10)}, "accuracy", id="a range alone"),
    ],
)
def test_it_names_the_part_that_is_wrong(parts, where):
    with pytest.raises(UncertaintyError) as caught:
        Accuracy(**parts)
    assert caught.value.where == where


def test_it_refuses_a_reading_that_is_no_number():
    with pytest.raises(UncertaintyError, match="NaN"):
        Accuracy(absolute=Decimal(1)).bound(Decimal("nan"))
