"""The predictive model against its stated values, direct integration and simulation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from logbook.core.errors import SampleError
from logbook.core.samples.predictive import Predictive, predictive_out_of_limits, prior_spread

LOW, HIGH = 3.234, 3.366


def predict(values: list[float], low: float | None = LOW, high: float | None = HIGH) -> Predictive:
    found = predictive_out_of_limits(values, [None] * len(values), low, high)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("values", "p_out"),
    [([3.317], 0.1207), ([3.300, 3.300], 0.0280), ([3.322, 3.319, 3.326], 0.0184)],
    ids=["one board", "two equal", "three boards"],
)
def test_it_reproduces_the_stated_values_of_the_model(values: list[float], p_out: float) -> None:
    # Computed from the model of A. Gelman et al., Bayesian Data Analysis, chapter 3, with ν₀ = 2.
    assert predict(values).p_out == pytest.approx(p_out, abs=6e-5)


@pytest.mark.parametrize("values", [[3.317], [3.300, 3.300], [3.24, 3.35, 3.31, 3.36]], ids=len)
def test_it_agrees_with_integration_over_the_unknown_spread(values: list[float]) -> None:
    n, mean, s0 = len(values), np.mean(values), (HIGH - LOW) / 8
    degrees = 2 + n - 1
    scale = 2 * s0**2 + np.sum((np.array(values) - mean) ** 2)
    posterior = stats.invgamma(degrees / 2, scale=scale / 2)

    def out(variance: float) -> float:
        next_board = stats.norm(mean, (variance * (1 + 1 / n)) ** 0.5)
        return float(posterior.pdf(variance) * (next_board.cdf(LOW) + next_board.sf(HIGH)))

    parts = [integrate.quad(out, a, b, limit=200)[0] for a, b in [(0, s0**2), (s0**2, 1), (1, np.inf)]]
    assert predict(values).p_out == pytest.approx(sum(parts), rel=1e-6)


def test_it_agrees_with_simulated_next_boards() -> None:
    values, rng, count = [3.34, 3.30, 3.35], np.random.default_rng(2), 400_000
    scale = 2 * 0.0165**2 + np.sum((np.array(values) - np.mean(values)) ** 2)
    variance = scale / rng.chisquare(4, count)
    true_mean = rng.normal(np.mean(values), np.sqrt(variance / 3))
    next_board = rng.normal(true_mean, np.sqrt(variance))
    share = np.mean((next_board < LOW) | (next_board > HIGH))
    # One standard error of the simulated share is below 0.0006.
    assert predict(values).p_out == pytest.approx(share, abs=0.0024)


def test_the_uncertainty_of_the_readings_widens_the_scale_in_quadrature() -> None:
    values, uncertainties = [3.30, 3.31, 3.29], [0.003, None, 0.004]
    found = predictive_out_of_limits(values, uncertainties, LOW, HIGH)
    assert found is not None
    added = (0.003**2 + 0.004**2) / 3
    assert found.scale**2 == pytest.approx(predict(values).scale ** 2 + added)
    assert found.p_out == pytest.approx(
        stats.t.cdf((LOW - found.centre) / found.scale, 4)
        + stats.t.sf((HIGH - found.centre) / found.scale, 4)
    )


@pytest.mark.parametrize(
    ("low", "high", "nominal", "logarithmic", "spread"),
    [
        (3.234, 3.366, None, False, 0.0165),
        (3.234, 3.366, 3.30, True, 0.0165),
        (None, 0.094, 0.078, False, 0.004),
        (None, 40e-6, None, False, 2e-6),
        (-5.05, None, None, False, 0.2525),
        (None, -90.0, None, True, 1.0),
        (None, 0.0, None, True, 1.0),
        (None, 0.0, -8.0, False, 2.0),
        (None, 0.0, None, False, None),
        (0.0, None, 0.0, False, None),
        (5.0, 5.0, None, False, None),
        (None, None, 5.0, False, None),
    ],
    ids=[
        "two limits",
        "two limits in dB",
        "one limit and nominal",
        "one limit",
        "one negative limit",
        "one limit in dB",
        "0 dB",
        "limit 0 with nominal",
        "limit 0",
        "nominal on the limit",
        "no width",
        "no limit",
    ],
)
def test_the_prior_spread_follows_from_the_limits(
    low: float | None, high: float | None, nominal: float | None, logarithmic: bool, spread: float | None
) -> None:
    found = prior_spread(low, high, nominal=nominal, logarithmic=logarithmic)
    assert found == (spread if spread is None else pytest.approx(spread))
    found_from_reading = predictive_out_of_limits(
        [1.0], [None], low, high, nominal=nominal, logarithmic=logarithmic
    )
    assert (found_from_reading is None) == (spread is None)


@given(st.lists(st.floats(LOW, HIGH), min_size=1, max_size=8), st.floats(-3, 3), st.floats(0.01, 100))
def test_it_does_not_depend_on_the_unit_or_on_where_zero_lies(
    values: list[float], shift: float, factor: float
) -> None:
    moved = [(value + shift) * factor for value in values]
    found = predict(moved, (LOW + shift) * factor, (HIGH + shift) * factor)
    assert found.p_out == pytest.approx(predict(values).p_out, rel=1e-6)


@given(st.lists(st.floats(LOW, HIGH), min_size=1, max_size=8))
def test_two_limits_are_the_sum_of_each_alone_under_one_prior(values: list[float]) -> None:
    both = predict(values)
    sides = stats.t(both.degrees_of_freedom, both.centre, both.scale)
    assert both.p_out == pytest.approx(sides.cdf(LOW) + sides.sf(HIGH))
    assert both.degrees_of_freedom == len(values) + 1


def test_no_reading_says_nothing() -> None:
    assert predictive_out_of_limits([], [], LOW, HIGH) is None


@pytest.mark.parametrize(
    ("values", "uncertainties", "low"),
    [([3.3], [], LOW), ([3.3], [-0.1], LOW), ([float("inf")], [None], LOW), ([3.3], [None], 4.0)],
    ids=["lengths", "negative uncertainty", "infinite reading", "crossed limits"],
)
def test_it_refuses_impossible_input(values: list[float], uncertainties: list[float], low: float) -> None:
    with pytest.raises(SampleError):
        predictive_out_of_limits(values, uncertainties, low, HIGH)


@pytest.mark.parametrize(("n", "basis"), [(1, "mostly assumed"), (2, "mostly assumed"), (3, "readings")])
def test_it_says_when_the_spread_is_mostly_assumed(n: int, basis: str) -> None:
    # The assumption is worth two degrees of freedom, n readings n - 1 (Gelman et al., chapter 3).
    found = predictive_out_of_limits([3.3] * n, [None] * n, 3.234, 3.366)
    assert found is not None
    assert found.basis == basis
