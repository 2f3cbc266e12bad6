import math
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from logbook.core.errors import UncertaintyError
from logbook.core.verdict import conformance_probability

from .golden import ENTRIES, within

BY_FORMULA = ["D-01", "D-02", "D-03", "D-07", "D-08", "D-09", "D-10", "D-11", "D-12", "D-13", "D-26"]


@pytest.mark.parametrize("key", BY_FORMULA)
def test_it_finds_the_published_probability(key):
    entry = ENTRIES[key]
    given_ = entry["inputs"]
    found = conformance_probability(
        given_["y"], given_["u"], given_.get("TL"), given_.get("TU"), given_.get("nu")
    )
    assert found == within(entry, entry["expected"])


finite = st.floats(-100, 100)


@given(finite, st.floats(0.01, 10), finite, st.floats(0, 50))
def test_it_agrees_with_the_standard_library(y, u, low, width):
    reading = statistics.NormalDist(y, u)
    expected = reading.cdf(low + width) - reading.cdf(low)
    assert conformance_probability(y, u, low, low + width) == pytest.approx(expected, abs=1e-12)


@given(finite, st.floats(0, 10), finite, st.floats(0, 50), st.sampled_from([None, 1, 4, 30.5]))
def test_it_is_a_probability_and_the_same_in_a_mirror(y, u, low, width, nu):
    found = conformance_probability(y, u, low, low + width, nu)
    assert 0.0 <= found <= 1.0
    assert conformance_probability(-y, u, -(low + width), -low, nu) == pytest.approx(found, rel=1e-12)


@pytest.mark.parametrize("distance", [5.0, 12.0, 30.0, 37.0])
def test_it_keeps_its_digits_in_the_far_tail(distance):
    expected = stats.norm.sf(distance)
    assert conformance_probability(distance, 1.0, None, 0.0) == pytest.approx(expected, rel=1e-12, abs=0)
    assert conformance_probability(-distance, 1.0, 0.0, 1e9) == pytest.approx(expected, rel=1e-12, abs=0)


def test_it_agrees_with_simulation():
    y, u, nu = 3.452, 0.008, 4
    true_values = y + u * np.random.default_rng(3).standard_t(nu, 400_000)
    inside = np.mean((true_values >= 3.44) & (true_values <= 3.465))
    assert conformance_probability(y, u, 3.44, 3.465, nu) == pytest.approx(inside, abs=0.003)


def test_it_approaches_the_normal_distribution():
    normal = conformance_probability(3.452, 0.008, None, 3.465)
    assert conformance_probability(3.452, 0.008, None, 3.465, math.inf) == normal
    assert conformance_probability(3.452, 0.008, None, 3.465, 1e7) == pytest.approx(normal, rel=1e-6)


@pytest.mark.parametrize(("y", "expected"), [(5.25, 1.0), (4.75, 1.0), (5.2500001, 0.0), (4.7, 0.0)], ids=str)
def test_it_is_certain_without_uncertainty(y, expected):
    assert conformance_probability(y, 0.0, 4.75, 5.25) == expected


@pytest.mark.parametrize(("u", "nu"), [(-0.1, None), (math.nan, None), (math.inf, None), (1, 0), (1, -3)])
def test_it_refuses_impossible_uncertainties(u, nu):
    with pytest.raises(UncertaintyError):
        conformance_probability(1.0, u, 0.0, 2.0, nu)
