"""Grubbs' test against the published example and simulation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from logbook.core.errors import SampleError
from logbook.core.samples.outliers import grubbs_critical, grubbs_statistic
from tests.core.samples.golden import agrees, of_kind


@pytest.mark.parametrize("entry", of_kind("statistics", "grubbs"))
def test_it_reproduces_the_published_example(entry: dict[str, Any]) -> None:
    data, alpha = entry["inputs"]["data"], entry["inputs"]["alpha"]
    found = {
        "G": grubbs_statistic(data),
        "crit_one": grubbs_critical(len(data), alpha, two_sided=False),
        "crit_two": grubbs_critical(len(data), alpha),
    }
    assert agrees(entry, found)


def test_normal_samples_exceed_the_critical_value_as_often_as_stated() -> None:
    samples = np.random.default_rng(5).normal(size=(4000, 6))
    statistics = [grubbs_statistic(sample.tolist()) or 0.0 for sample in samples]
    # Four standard errors of a share of 0.1 in 4000 trials are 0.019.
    assert np.mean(np.array(statistics) > grubbs_critical(6, 0.1)) == pytest.approx(0.1, abs=0.019)


def test_equal_readings_have_no_outlier() -> None:
    assert grubbs_statistic([1.0, 1.0, 1.0]) is None


def test_two_readings_cannot_tell_which_is_wrong() -> None:
    with pytest.raises(SampleError, match="at least 3"):
        grubbs_statistic([1.0, 9.0])
