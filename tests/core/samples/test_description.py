"""Mean, spread and order against certified data sets and exact fractions."""

from __future__ import annotations

import itertools
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import SampleError
from logbook.core.samples.description import describe_sample, lag1_autocorrelation, pooled_deviation
from tests.core.samples.golden import agrees, of_kind

readings = st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=20)


def data_of(inputs: dict[str, Any]) -> list[float]:
    """The data sets as the entries describe them: in words, by a rule or in full."""
    if inputs.get("rule") == "numacc1":
        return [10000001, 10000003, 10000002]
    if "base" in inputs:
        # NumAcc2: the base, then 500 pairs a tenth below and above it, written as 1.1 and 1.3.
        pair = [round(inputs["base"] - 0.1, 10), round(inputs["base"] + 0.1, 10)]
        return [inputs["base"], *itertools.chain.from_iterable([pair] * 500)]
    return [inputs["offset"] + n / inputs["scale"] for n in inputs["n"]]


@pytest.mark.parametrize("entry", of_kind("statistics", "numacc", "michelso"))
def test_it_reproduces_the_certified_summary_statistics(entry: dict[str, Any]) -> None:
    data = data_of(entry["inputs"])
    sample = describe_sample(data)
    found = {"mean": sample.mean, "sd": sample.s, "r1": lag1_autocorrelation(data)}
    assert agrees(entry, found)


@pytest.mark.parametrize("entry", of_kind("statistics", "pooled"))
def test_it_pools_deviations_by_their_degrees_of_freedom(entry: dict[str, Any]) -> None:
    assert agrees(entry, pooled_deviation(entry["inputs"]["s"], entry["inputs"]["n"]))


@given(readings)
def test_it_agrees_with_exact_fractions(values: list[float]) -> None:
    exact = [Fraction(value) for value in values]
    mean = sum(exact) / len(exact)
    variance = sum((value - mean) ** 2 for value in exact) / (len(exact) - 1)
    sample = describe_sample(values)
    assert sample.mean == pytest.approx(float(mean), rel=1e-15, abs=1e-300)
    assert sample.s == pytest.approx(float(variance) ** 0.5, rel=1e-9, abs=1e-150)


@given(st.lists(st.lists(st.floats(-10, 10), min_size=2, max_size=5), min_size=1, max_size=4))
def test_pooling_is_the_spread_about_each_samples_own_mean(samples: list[list[float]]) -> None:
    parts = [describe_sample(sample) for sample in samples]
    squares = sum((x - part.mean) ** 2 for sample, part in zip(samples, parts, strict=True) for x in sample)
    expected = (squares / sum(part.n - 1 for part in parts)) ** 0.5
    pooled = pooled_deviation([part.s or 0.0 for part in parts], [part.n for part in parts])
    assert pooled == pytest.approx(expected, abs=1e-7)


def test_a_single_reading_has_no_spread() -> None:
    sample = describe_sample([3.317])
    assert (sample.n, sample.mean, sample.s, sample.range) == (1, 3.317, None, 0.0)


def test_equal_readings_have_no_autocorrelation() -> None:
    assert lag1_autocorrelation([1.0, 1.0, 1.0]) is None


@pytest.mark.parametrize(
    ("values", "message"),
    [([], "0 readings are too few"), ([1.0, float("nan")], "nan is not a reading")],
    ids=["empty", "not a number"],
)
def test_it_refuses_what_is_no_sample(values: list[float], message: str) -> None:
    with pytest.raises(SampleError, match=message):
        describe_sample(values)


@pytest.mark.parametrize("counts", [[1, 1], [5]], ids=["no degrees of freedom", "too few counts"])
def test_it_refuses_to_pool_what_has_no_spread(counts: list[int]) -> None:
    with pytest.raises(SampleError, match="cannot be pooled"):
        pooled_deviation([0.1, 0.2], counts)
