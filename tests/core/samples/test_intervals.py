"""Confidence intervals against published formulas and against their own coverage in simulation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from logbook.core.errors import SampleError
from logbook.core.samples.intervals import deviation_interval, mean_interval
from tests.core.samples.golden import agrees, of_kind


@pytest.mark.parametrize("entry", of_kind("statistics", "meanci"))
def test_it_reproduces_the_worked_intervals(entry: dict[str, Any]) -> None:
    data, confidence = entry["inputs"]["data"], entry["inputs"]["conf"]
    mean, deviation = mean_interval(data, confidence), deviation_interval(data, confidence)
    assert mean is not None
    assert deviation is not None
    found = {
        "mean": np.mean(data),
        "s": np.std(data, ddof=1),
        "lower": mean[0],
        "upper": mean[1],
        "s_lower": deviation[0],
        "s_upper": deviation[1],
    }
    assert agrees(entry, found)


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.99])
def test_the_mean_interval_agrees_with_the_one_sample_t_test(confidence: float) -> None:
    data = [4.998, 5.003, 4.996, 5.001]
    expected = stats.ttest_1samp(data, 5.0).confidence_interval(confidence)
    assert mean_interval(data, confidence) == pytest.approx((expected.low, expected.high))


def test_the_intervals_hold_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(7)
    samples = rng.normal(3.3, 0.01, size=(2000, 4))
    means = [mean_interval(sample.tolist(), 0.9) or (0.0, 0.0) for sample in samples]
    spreads = [deviation_interval(sample.tolist(), 0.9) or (0.0, 0.0) for sample in samples]
    # Four standard errors of a share of 0.9 in 2000 trials are 0.027.
    assert np.mean([low <= 3.3 <= high for low, high in means]) == pytest.approx(0.9, abs=0.027)
    assert np.mean([low <= 0.01 <= high for low, high in spreads]) == pytest.approx(0.9, abs=0.027)


def test_a_single_reading_has_no_interval() -> None:
    assert mean_interval([3.3]) is None
    assert deviation_interval([3.3]) is None


@pytest.mark.parametrize("confidence", [0.0, 1.0, 95.0])
def test_it_refuses_an_impossible_confidence(confidence: float) -> None:
    with pytest.raises(SampleError, match="not between 0 and 1"):
        mean_interval([1.0, 2.0], confidence)
