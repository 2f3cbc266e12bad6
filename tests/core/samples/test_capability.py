"""Capability indices against worked examples and Bissell's bounds against simulation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from logbook.core.errors import SampleError
from logbook.core.samples.capability import capability, capability_indices, cpk_bounds
from tests.core.samples.golden import agrees, of_kind


@pytest.mark.parametrize("entry", of_kind("statistics", "cpk"))
def test_it_reproduces_the_worked_indices(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    found = capability_indices(given["mean"], given["s"], given["LSL"], given["USL"], given["target"])
    assert agrees(entry, found._asdict())


@pytest.mark.parametrize(
    ("low", "high", "cpk"), [(None, 20.0, 4 / 6), (8.0, None, 8 / 6)], ids=["upper only", "lower only"]
)
def test_one_limit_uses_that_side_only(low: float | None, high: float | None, cpk: float) -> None:
    found = capability_indices(16, 2, low, high, target=14)
    assert found.cpk == pytest.approx(cpk)
    assert (found.cp, found.cpm) == (None, None)


def test_it_states_bounds_from_three_readings_on() -> None:
    assert capability([3.3], 3.2, 3.4) == (None, None)
    assert capability([3.3, 3.31], 3.2, 3.4).cpk_interval is None
    cpk, bounds = capability([3.3, 3.31, 3.29], 3.2, 3.4)
    assert bounds is not None
    assert cpk is not None
    assert bounds[0] < cpk < bounds[1]


def test_readings_without_spread_have_no_cpk() -> None:
    assert capability([3.3, 3.3, 3.3], 3.2, 3.4) == (None, None)


def test_the_bounds_hold_the_true_index_about_as_often_as_they_say() -> None:
    samples = np.random.default_rng(11).normal(0.5, 1, size=(2000, 40))
    found = [capability(sample.tolist(), -4, 4, confidence=0.9).cpk_interval or (0, 0) for sample in samples]
    # Bissell's bounds are approximate: two percent on top of four standard errors of 0.027.
    assert np.mean([low <= 3.5 / 3 <= high for low, high in found]) == pytest.approx(0.9, abs=0.047)


@pytest.mark.parametrize(
    ("low", "high"), [(None, None), (3.4, 3.2), (float("nan"), 3.4)], ids=["none", "crossed", "nan"]
)
def test_it_refuses_limits_that_are_none(low: float | None, high: float | None) -> None:
    with pytest.raises(SampleError):
        capability([3.3, 3.31], low, high)


def test_it_refuses_indices_without_spread_and_bounds_below_three_readings() -> None:
    with pytest.raises(SampleError, match="has no Cpk"):
        capability_indices(1, 0, 0, 2)
    with pytest.raises(SampleError, match="2 readings bound no Cpk"):
        cpk_bounds(1.0, 2, 0.95)
