import math
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import CoreError, PreferredValueError
from logbook.core.preferred import SERIES_NAMES, PreferredValue, nearest_value, series_values
from tests.core.preferred.golden import ENTRIES


@pytest.mark.parametrize("entry", [f"A-{number}" for number in range(11, 19)])
def test_it_chooses_by_ratio(entry: str) -> None:
    inputs = ENTRIES[entry]["inputs"]
    found = nearest_value(inputs["value"], f"E{inputs['series']}")
    assert float(found.nearest) == pytest.approx(ENTRIES[entry]["expected"], rel=1e-9)


def test_it_names_the_neighbours_of_a_stranger() -> None:
    # E96 members 475 and 487: IEC 60063:2015, Table 2.
    found = nearest_value("4830", "E96")
    assert (found.nearest, found.below, found.above, found.member) == (4870, 4750, 4870, False)


def test_it_is_its_own_neighbour_where_it_is_a_member() -> None:
    found = nearest_value("4.70e3", "e24")
    assert found == PreferredValue(Decimal(4700), Decimal(4700), Decimal(4700), Decimal(5), member=True)


def test_it_changes_over_at_the_geometric_mean() -> None:
    # The middle of 10 and 22 is √220 = 14.83239697419132589742…: common mathematics.
    assert nearest_value("14.8323969741913258974", "E3").nearest == 10
    assert nearest_value("14.8323969741913258975", "E3").nearest == 22


@pytest.mark.parametrize("value", [0, -1, "0.0", "-4700"])
def test_it_refuses_a_value_that_is_not_above_zero(value: Any) -> None:
    with pytest.raises(PreferredValueError, match="above 0"):
        nearest_value(value, "E24")


@pytest.mark.parametrize(("value", "series"), [(True, "E24"), ("4k7", "E24"), (1, "E25"), (math.inf, "E3")])
def test_it_refuses_what_is_no_value_or_series(value: Any, series: str) -> None:
    with pytest.raises(CoreError):
        nearest_value(value, series)


@pytest.mark.parametrize(
    ("nearest", "below", "above", "member"), [(5, 6, 7, False), (5, 5, 5, False), (0, 0, 0, True)]
)
def test_it_refuses_neighbours_that_do_not_fit(nearest: int, below: int, above: int, member: bool) -> None:
    with pytest.raises(PreferredValueError):
        PreferredValue(Decimal(nearest), Decimal(below), Decimal(above), None, member=member)


@given(st.floats(min_value=1e-12, max_value=1e9), st.sampled_from(SERIES_NAMES))
def test_no_other_member_is_nearer(value: float, series: str) -> None:
    # Second route: logarithms over all members of three decades.
    found = nearest_value(value, series)
    decade = math.floor(math.log10(value)) - (
        1 if len(series) < 4 and series != "E48" and series != "E96" else 2
    )
    members = [member * 10.0 ** (decade + step) for member in series_values(series) for step in (-1, 0, 1)]
    best = min(abs(math.log(value / member)) for member in members)
    assert abs(math.log(value / float(found.nearest))) == pytest.approx(best, abs=1e-9)


@given(st.sampled_from(SERIES_NAMES), st.data(), st.integers(-15, 9))
def test_it_recognises_every_member(series: str, data: st.DataObject, exponent: int) -> None:
    member = Decimal(data.draw(st.sampled_from(series_values(series)))).scaleb(exponent)
    found = nearest_value(member, series)
    assert (found.member, found.nearest) == (True, member)
