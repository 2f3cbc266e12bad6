"""Straight lines against certified data and SciPy."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from logbook.core.errors import SampleError
from logbook.core.samples.line import fit_line
from tests.core.samples.golden import agrees, of_kind


@pytest.mark.parametrize("entry", of_kind("statistics", "linreg"))
def test_it_reproduces_the_certified_line(entry: dict[str, Any]) -> None:
    fit = fit_line(entry["inputs"]["x"], entry["inputs"]["y"])
    named = {
        "b0": fit.intercept,
        "b1": fit.slope,
        "sb0": fit.intercept_deviation,
        "sb1": fit.slope_deviation,
        "s": fit.residual_deviation,
        "r2": fit.r_squared,
    }
    assert agrees(entry, named)


@given(st.lists(st.integers(-50, 50), min_size=3, max_size=15))
def test_it_agrees_with_scipy(heights: list[int]) -> None:
    assume(len(set(heights)) > 1)
    x, y = [float(i) for i in range(len(heights))], [float(h) for h in heights]
    found, expected = fit_line(x, y), stats.linregress(x, y)
    assert (found.slope, found.intercept) == pytest.approx((expected.slope, expected.intercept), abs=1e-9)
    assert found.slope_deviation == pytest.approx(expected.stderr, abs=1e-6)


def test_a_level_line_is_explained_in_full() -> None:
    assert fit_line([0, 1, 2], [5, 5, 5]).r_squared == 1.0


@pytest.mark.parametrize(
    ("x", "y"), [([1, 1, 1], [1, 2, 3]), ([1, 2, 3], [1, 2, 3, 4])], ids=["upright", "lengths"]
)
def test_it_refuses_points_that_make_no_line(x: list[float], y: list[float]) -> None:
    with pytest.raises(SampleError, match="make no line"):
        fit_line(x, y)
