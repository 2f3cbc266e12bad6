"""Tolerance factors against tables, against direct integration and against simulation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from logbook.core.errors import SampleError
from logbook.core.samples.tolerance import (
    Sides,
    howe_factor,
    natrella_factor,
    one_sided_factor,
    tolerance_interval,
    two_sided_factor,
)
from tests.core.samples.golden import agrees, of_kind


def arguments(entry: dict[str, Any]) -> tuple[int, float, float]:
    return entry["inputs"]["n"], entry["inputs"]["p"], entry["inputs"]["g"]


@pytest.mark.parametrize("entry", of_kind("statistics", "k1"))
def test_it_reproduces_the_tables_of_one_sided_factors(entry: dict[str, Any]) -> None:
    assert agrees(entry, one_sided_factor(*arguments(entry)))


@pytest.mark.parametrize("entry", of_kind("statistics", "k1both"))
def test_it_tells_the_exact_one_sided_factor_from_the_approximate(entry: dict[str, Any]) -> None:
    given = arguments(entry)
    assert agrees(entry, {"approx": natrella_factor(*given), "exact": one_sided_factor(*given)})


@pytest.mark.parametrize("entry", of_kind("statistics", "howe"))
def test_it_reproduces_the_approximate_two_sided_factor(entry: dict[str, Any]) -> None:
    assert agrees(entry, howe_factor(*arguments(entry)))


@pytest.mark.parametrize("entry", of_kind("statistics", "k2both"))
def test_it_tells_the_exact_two_sided_factor_from_the_approximate(entry: dict[str, Any]) -> None:
    given = arguments(entry)
    assert agrees(entry, {"exact": two_sided_factor(*given), "howe": howe_factor(*given)})


def confidence_of_two_sided(factor: float, n: int, content: float) -> float:
    """Second route: integrate over the spread outside and the mean inside, no noncentral quantile."""

    def mean_may_lie(spread: float) -> float:
        width = factor * spread
        held = stats.norm.cdf(width) - stats.norm.cdf(-width)
        if held <= content:
            return 0.0
        furthest = optimize.brentq(
            lambda z: stats.norm.cdf(z + width) - stats.norm.cdf(z - width) - content, 0, width + 9
        )
        return float(2 * stats.norm.cdf(furthest * n**0.5) - 1)

    density = stats.chi(n - 1, scale=(n - 1) ** -0.5)
    least = stats.norm.ppf((1 + content) / 2) / factor
    return integrate.quad(
        lambda s: density.pdf(s) * mean_may_lie(s), least, density.ppf(1 - 1e-13), epsabs=1e-10, limit=200
    )[0]


@pytest.mark.parametrize(
    ("n", "content", "confidence"),
    [(2, 0.95, 0.95), (3, 0.90, 0.99), (7, 0.5, 0.5), (30, 0.99, 0.9)],
    ids=["n 2", "n 3", "n 7", "n 30"],
)
def test_the_two_sided_factor_gives_the_confidence_asked_for(
    n: int, content: float, confidence: float
) -> None:
    factor = two_sided_factor(n, content, confidence)
    assert confidence_of_two_sided(factor, n, content) == pytest.approx(confidence, abs=1e-7)


@pytest.mark.parametrize("n", [2, 4, 25])
def test_the_one_sided_factor_is_the_noncentral_t_quantile(n: int) -> None:
    shift = stats.norm.ppf(0.9) * n**0.5
    expected = stats.nct.ppf(0.95, n - 1, shift) / n**0.5
    assert one_sided_factor(n, 0.9, 0.95) == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize("sides", ["two", "lower", "upper"])
def test_the_interval_holds_its_content_as_often_as_it_says(sides: Sides) -> None:
    samples = np.random.default_rng(3).normal(0, 1, size=(1500, 5))
    intervals = [tolerance_interval(sample.tolist(), 0.8, 0.9, sides=sides) or (0, 0) for sample in samples]
    held = [
        stats.norm.cdf(np.inf if high is None else high) - stats.norm.cdf(-np.inf if low is None else low)
        for low, high in intervals
    ]
    # Four standard errors of a share of 0.9 in 1500 trials are 0.031.
    assert np.mean(np.array(held) >= 0.8) == pytest.approx(0.9, abs=0.031)


def test_a_single_reading_has_no_tolerance_interval() -> None:
    assert tolerance_interval([3.3]) is None


def test_equal_readings_have_an_interval_without_width() -> None:
    assert tolerance_interval([3.3, 3.3]) == (3.3, 3.3)


def test_the_one_sided_approximation_is_silent_where_it_does_not_exist() -> None:
    assert natrella_factor(2, 0.95, 0.99) is None


def test_it_refuses_an_unknown_side() -> None:
    with pytest.raises(SampleError, match="No side left"):
        tolerance_interval([1.0, 2.0], sides="left")  # type: ignore[arg-type]


def test_it_refuses_a_factor_for_one_reading() -> None:
    with pytest.raises(SampleError, match="at least 2"):
        two_sided_factor(1, 0.95, 0.95)
