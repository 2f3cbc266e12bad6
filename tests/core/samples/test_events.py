"""Bounds on rare events against published figures and the Poisson distribution itself."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from logbook.core.errors import SampleError
from logbook.core.samples.events import bits_to_show, mean_count_bound, mtbf_lower_bound
from tests.core.samples.golden import agrees, of_kind


@pytest.mark.parametrize("entry", of_kind("statistics", "ber"))
def test_it_reproduces_the_length_of_an_error_free_link_test(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    bits = bits_to_show(given["ber"], given["errors"], given["conf"])
    bound = mean_count_bound(given["errors"], given["conf"])
    assert agrees(entry, {"m": bound, "bits": bits, "seconds": bits / given["rate"]})


@pytest.mark.parametrize("entry", of_kind("statistics", "ber_m"))
def test_it_reproduces_the_bounds_with_errors(entry: dict[str, Any]) -> None:
    found = [mean_count_bound(errors, entry["inputs"]["conf"]) for errors in entry["inputs"]["errors"]]
    assert agrees(entry, found)


@pytest.mark.parametrize("entry", of_kind("risk", "mtbf"))
def test_it_reproduces_the_published_mtbf_bounds(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    found = [mtbf_lower_bound(given["hours"], given["failures"], conf) for conf in given["conf"]]
    assert agrees(entry, found)


@given(st.integers(0, 500), st.floats(0.01, 0.9999))
def test_so_few_events_have_just_the_doubt_left(events: int, confidence: float) -> None:
    bound = mean_count_bound(events, confidence)
    assert stats.poisson.cdf(events, bound) == pytest.approx(1 - confidence, rel=1e-8)


@pytest.mark.parametrize("rate", [0.0, -1.0, float("nan"), float("inf")])
def test_it_refuses_a_rate_that_is_not_above_zero(rate: float) -> None:
    with pytest.raises(SampleError, match="error_rate"):
        bits_to_show(rate)
