"""Factors of spread and range against tables and simulation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from logbook.core.errors import SampleError
from logbook.core.samples.control import range_factor, spread_bias_factor
from tests.core.samples.golden import agrees, of_kind


@pytest.mark.parametrize("entry", of_kind("statistics", "c4"))
def test_it_reproduces_the_bias_of_the_spread(entry: dict[str, Any]) -> None:
    assert agrees(entry, [spread_bias_factor(n) for n in entry["inputs"]["n"]])


@pytest.mark.parametrize("entry", of_kind("statistics", "d2"))
def test_it_reproduces_the_mean_range(entry: dict[str, Any]) -> None:
    assert agrees(entry, [range_factor(n) for n in entry["inputs"]["n"]])


@pytest.mark.parametrize("n", [2, 5, 12])
def test_simulated_samples_show_both_factors(n: int) -> None:
    samples = np.random.default_rng(n).normal(size=(40_000, n))
    # One standard error is below 0.005 for both.
    assert samples.std(axis=1, ddof=1).mean() == pytest.approx(spread_bias_factor(n), abs=0.02)
    assert np.ptp(samples, axis=1).mean() == pytest.approx(range_factor(n), abs=0.02)


def test_one_reading_has_no_factor() -> None:
    with pytest.raises(SampleError, match="at least 2"):
        spread_bias_factor(1)
    with pytest.raises(SampleError, match="at least 2"):
        range_factor(1)
