from typing import Any

import pytest

from logbook.core.errors import PreferredValueError
from logbook.core.preferred import SERIES_NAMES, series_values, usual_tolerance_percent
from tests.core.preferred.golden import ENTRIES


@pytest.mark.parametrize("entry", [f"A-0{number}" for number in range(1, 8)])
def test_it_has_the_members_of_the_standard(entry: str) -> None:
    name = f"E{ENTRIES[entry]['inputs']['series']}"
    assert list(series_values(name)) == ENTRIES[entry]["expected"]


@pytest.mark.parametrize("name", SERIES_NAMES)
def test_it_differs_from_plain_rounding_only_where_the_standard_does(name: str) -> None:
    # Second route: the rule in floating point, without the exceptions.
    size = int(name[1:])
    lowest = 10 if size <= 24 else 100
    rounded = [int(lowest * 10 ** (place / size) + 0.5) for place in range(size)]
    differing = [
        member for member, plain in zip(series_values(name), rounded, strict=True) if member != plain
    ]
    assert differing == ENTRIES["A-08"]["expected"][name[1:]]


@pytest.mark.parametrize(("key", "fine"), [("not_in_E192", "E192"), ("not_in_E96", "E96")])
def test_it_keeps_e24_apart_from_the_fine_series(key: str, fine: str) -> None:
    strangers = [10 * member for member in series_values("E24") if 10 * member not in series_values(fine)]
    assert strangers == ENTRIES["A-09"]["expected"][key]


@pytest.mark.parametrize(("name", "percent"), ENTRIES["A-10"]["expected"].items())
def test_it_pairs_a_series_with_its_tolerance(name: str, percent: float) -> None:
    assert float(usual_tolerance_percent(name) or 0) == percent


def test_it_has_no_number_for_the_tolerance_of_e3() -> None:
    assert usual_tolerance_percent("e3") is None


@pytest.mark.parametrize("name", ["E7", "96", "", "E" * 1000, "E384", 96])
def test_it_refuses_an_unknown_series(name: Any) -> None:
    with pytest.raises(PreferredValueError, match="not a series"):
        series_values(name)
