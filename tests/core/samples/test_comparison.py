"""Comparisons against published data and SciPy's own test."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from logbook.core.errors import SampleError
from logbook.core.samples.comparison import paired_comparison, weighted_mean
from tests.core.samples.golden import agrees, of_kind


@pytest.mark.parametrize("entry", of_kind("statistics", "ttest_rel"))
def test_it_reproduces_the_sleep_data(entry: dict[str, Any]) -> None:
    found = paired_comparison(entry["inputs"]["a"], entry["inputs"]["b"])
    assert found is not None
    assert agrees(entry, {"t": found.t, "df": found.degrees_of_freedom, "p": found.probability})


@pytest.mark.parametrize("entry", of_kind("statistics", "wmean"))
def test_it_reproduces_the_weighted_mean(entry: dict[str, Any]) -> None:
    found = weighted_mean(entry["inputs"]["x"], entry["inputs"]["u"])
    named = {
        "mean": found.mean,
        "u_int": found.internal_uncertainty,
        "birge": found.birge_ratio,
        "u_ext": found.external_uncertainty,
    }
    assert agrees(entry, named)


@given(st.lists(st.tuples(st.integers(-99, 99), st.integers(-99, 99)), min_size=2, max_size=12))
def test_it_agrees_with_the_paired_test_of_scipy(pairs: list[tuple[int, int]]) -> None:
    before, after = [float(a) for a, _ in pairs], [float(b) for _, b in pairs]
    found = paired_comparison(before, after)
    if found is None:
        assert len({a - b for a, b in pairs}) == 1
    else:
        expected = stats.ttest_rel(before, after)
        assert (found.t, found.probability) == pytest.approx((expected.statistic, expected.pvalue))


@given(st.lists(st.floats(-10, 10), min_size=2, max_size=9))
def test_equal_weights_give_the_plain_mean(values: list[float]) -> None:
    found = weighted_mean(values, [0.5] * len(values))
    assert found.mean == pytest.approx(np.mean(values), abs=1e-12)
    assert found.birge_ratio == pytest.approx(np.std(values, ddof=1) / 0.5, abs=1e-6)


def test_it_refuses_lists_of_different_length() -> None:
    with pytest.raises(SampleError, match="3 values meet 2 after"):
        paired_comparison([1.0, 2.0, 3.0], [1.0, 2.0])


def test_it_refuses_an_uncertainty_of_zero() -> None:
    with pytest.raises(SampleError, match=r"uncertainty of 0\.0 has no weight"):
        weighted_mean([1.0, 2.0], [0.1, 0.0])
