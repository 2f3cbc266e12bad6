"""Exact bounds of a share of failures against tables and SciPy's own test."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from logbook.core.errors import SampleError
from logbook.core.samples.attributes import attribute_bounds, success_run
from tests.core.samples.golden import agrees, of_kind


@st.composite
def counts(draw: st.DrawFn) -> tuple[int, int]:
    trials = draw(st.integers(1, 200))
    return draw(st.integers(0, trials)), trials


@pytest.mark.parametrize("entry", of_kind("statistics", "clopper"))
def test_it_reproduces_the_published_intervals(entry: dict[str, Any]) -> None:
    given = entry["inputs"]
    found = attribute_bounds(given["x"], given["n"], given["conf"])
    assert agrees(entry, found._asdict())


@pytest.mark.parametrize("entry", of_kind("statistics", "rule3"))
def test_no_failure_is_bounded_from_above_about_by_three_over_n(entry: dict[str, Any]) -> None:
    n = entry["inputs"]["n"]
    upper = attribute_bounds(0, n, entry["inputs"]["conf"], "upper").upper
    assert agrees(entry, {"approx": 3 / n, "exact": upper})


@pytest.mark.parametrize("entry", of_kind("statistics", "successrun"))
def test_it_reproduces_the_published_success_runs(entry: dict[str, Any]) -> None:
    found = success_run(entry["inputs"]["R"], entry["inputs"]["conf"])
    assert agrees(entry, {"n_exact": found, "n": math.ceil(found)})


@given(counts(), st.floats(0.01, 0.999))
def test_two_sided_bounds_agree_with_the_exact_binomial_test(
    case: tuple[int, int], confidence: float
) -> None:
    exact = stats.binomtest(*case).proportion_ci(confidence, method="exact")
    found = attribute_bounds(*case, confidence)
    assert (found.lower, found.upper) == pytest.approx((exact.low, exact.high), rel=1e-7, abs=1e-12)


@given(counts(), st.floats(0.01, 0.999))
def test_the_upper_bound_spends_all_doubt_on_one_side(case: tuple[int, int], confidence: float) -> None:
    found = attribute_bounds(*case, confidence, "upper")
    assert found.lower == 0.0
    if case[0] == case[1]:
        assert found.upper == 1.0
    else:
        assert stats.binom.cdf(*case, found.upper) == pytest.approx(1 - confidence, rel=1e-6)


def test_the_ends_are_exact() -> None:
    assert attribute_bounds(0, 7).lower == 0.0
    assert attribute_bounds(7, 7).upper == 1.0


def test_a_billion_bits_without_an_error_keep_their_digits() -> None:
    bounds = attribute_bounds(0, 10**9, 0.95, "upper")
    # −ln(0.05)/N is the limit of the exact bound for many trials; common practice.
    assert bounds.upper == pytest.approx(2.995732273554 / 1e9, rel=1e-8)
    assert bounds.estimate == 0.0


def test_a_few_errors_in_a_billion_bits_agree_with_the_poisson_bound() -> None:
    # Half the chi-square quantile with 2(k + 1) degrees of freedom is the limit for rare errors.
    upper = attribute_bounds(3, 10**9, 0.95, "upper").upper
    assert upper * 1e9 == pytest.approx(stats.chi2.ppf(0.95, 8) / 2, rel=1e-7)


def test_a_success_run_leaves_the_doubt_it_says() -> None:
    runs = success_run(0.9, 0.95)
    assert attribute_bounds(0, math.ceil(runs), 0.95, "upper").upper <= 0.1
    assert attribute_bounds(0, math.floor(runs), 0.95, "upper").upper > 0.1


@pytest.mark.parametrize(
    ("failures", "trials", "message"),
    [
        (-1, 5, "failures -1"),
        (6, 5, "6 failures in 5"),
        (0, 0, "trials 0"),
        (1.5, 5, "failures 1.5"),
        (0, float("inf"), "trials inf"),
        (True, 5, "failures True"),
    ],
    ids=["negative", "too many", "no trial", "not whole", "endless", "a yes"],
)
def test_it_refuses_impossible_counts(failures: Any, trials: Any, message: str) -> None:
    with pytest.raises(SampleError, match=message):
        attribute_bounds(failures, trials)


def test_it_refuses_unknown_sides() -> None:
    with pytest.raises(SampleError, match="No sides lower"):
        attribute_bounds(0, 5, sides="lower")  # type: ignore[arg-type]
