"""The least probability against trying every subset."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.risk.least import Number, least_out_of_limits
from logbook.core.samples import predictive_out_of_limits

# Limits −4 to 4 give a prior spread of 1; with one limit 4 and nominal 0 it is 1 as well.
LIMITS = st.sampled_from([(-4.0, 4.0), (None, 4.0), (-4.0, None)])
values = st.floats(-8 / 3, 8 / 3)
fine = st.tuples(values, st.sampled_from([0.0, 0.1, 0.4]))


def p_out(numbers: tuple[Number, ...], low: float | None, high: float | None) -> float:
    found = predictive_out_of_limits(
        [value for value, _ in numbers], [u for _, u in numbers], low, high, nominal=0.0
    )
    assert found is not None
    return found.p_out


@given(st.lists(fine, max_size=2), st.lists(fine, min_size=1, max_size=5), LIMITS)
def test_it_is_the_least_of_all_subsets(
    fixed: list[Number], comfortable: list[Number], limits: tuple[float | None, float | None]
) -> None:
    subsets = itertools.chain.from_iterable(
        itertools.combinations(comfortable, size) for size in range(len(comfortable) + 1)
    )
    expected = min(p_out((*fixed, *some), *limits) for some in subsets if fixed or some)
    assert least_out_of_limits(fixed, comfortable, *limits, 1.0) == pytest.approx(expected, rel=1e-9)


def test_a_sample_that_holds_together_is_taken_whole() -> None:
    rail = [(3.322, 0.0), (3.319, 0.0), (3.326, 0.0)]
    found = least_out_of_limits([], rail, 3.234, 3.366, 0.0165)
    assert found == pytest.approx(0.0184, abs=6e-5)


def test_large_values_with_a_small_spread_keep_their_digits() -> None:
    clock = [(24_576_000.0 + offset, 0.0) for offset in (3.0, -2.0, 1.0)]
    near = [(offset, 0.0) for offset in (3.0, -2.0, 1.0)]
    far = least_out_of_limits([], clock, 24_576_000.0 - 20, 24_576_000.0 + 20, 5.0)
    assert far == pytest.approx(least_out_of_limits([], near, -20, 20, 5.0), rel=1e-9)


def test_without_any_reading_nothing_is_ruled_out() -> None:
    assert least_out_of_limits([], [], 0.0, 1.0, 0.1) == 1.0
