from typing import Any

import pytest

from logbook.core.errors import ToleranceError
from logbook.core.tolerance import Part, TemperatureRange


def test_the_larger_distance_from_the_reference_counts() -> None:
    assert TemperatureRange(-40, 70).largest_difference_k == 65
    assert TemperatureRange(30, 90).largest_difference_k == 65


def test_the_drift_of_a_negative_value_goes_both_ways() -> None:
    part = Part("v", -10, -11, -9, "V", 1000, TemperatureRange(25, 125))
    assert part.band == pytest.approx((-12.1, -8.1))


@pytest.mark.parametrize(
    "options",
    [{"low": 2}, {"high": 0}, {"nominal": float("nan")}, {"tempco_ppm_per_k": -1}, {"tempco_ppm_per_k": 1}],
    ids=str,
)
def test_it_refuses_an_impossible_part(options: dict[str, Any]) -> None:
    with pytest.raises(ToleranceError):
        Part(**{"name": "p", "nominal": 1, "low": 0.5, "high": 1.5, **options})
