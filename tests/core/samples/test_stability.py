"""Allan deviations against the published test data and the definition summed by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import SampleError
from logbook.core.samples.description import describe_sample
from logbook.core.samples.stability import AllanDeviations, allan_deviations
from tests.core.samples.golden import agrees, of_kind


@pytest.mark.parametrize("entry", of_kind("statistics", "allan9"))
def test_it_reproduces_the_nine_values(entry: dict[str, Any]) -> None:
    found = [allan_deviations(entry["inputs"]["freq"], tau) for tau in entry["inputs"]["tau"]]
    named = {
        "adev": [one.plain for one in found],
        "oadev": [one.overlapping for one in found],
        "mdev": [one.modified for one in found],
    }
    assert agrees(entry, named)


@pytest.mark.parametrize("entry", of_kind("statistics", "allan1000"))
def test_it_reproduces_the_thousand_generated_values(entry: dict[str, Any]) -> None:
    state, values = entry["inputs"]["n0"], []
    for _ in range(entry["inputs"]["count"]):
        values.append(state / 2147483647)
        state = 16807 * state % 2147483647
    sample = describe_sample(values)
    plain = [allan_deviations(values, tau).plain for tau in entry["inputs"]["tau"]]
    assert agrees(entry, {"mean": sample.mean, "sd": sample.s, "adev": plain})


@given(st.lists(st.floats(-5, 5), min_size=4, max_size=20), st.integers(1, 3))
def test_it_agrees_with_averages_of_neighbours(values: list[float], average: int) -> None:
    blocks = [np.mean(values[i : i + average]) for i in range(len(values) - average + 1)]
    apart = [blocks[i + average] - blocks[i] for i in range(len(blocks) - average)]
    found = allan_deviations(values, average).overlapping
    expected = (np.mean(np.square(apart)) / 2) ** 0.5 if apart else None
    assert found == (expected if expected is None else pytest.approx(expected, abs=1e-9))


def test_a_record_too_short_says_nothing() -> None:
    assert allan_deviations([1.0, 2.0, 3.0], 2) == AllanDeviations(None, None, None)


def test_it_refuses_an_average_of_nothing() -> None:
    with pytest.raises(SampleError, match="average 0"):
        allan_deviations([1.0, 2.0], 0)
