import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from logbook.core.errors import DecisionError
from logbook.core.verdict import global_risks

from .golden import ENTRIES, within


@pytest.mark.parametrize("key", ["D-24", "D-25", "D-29"])
def test_it_finds_the_published_risks(key):
    entry = ENTRIES[key]
    mu, sigma, u, t, a = (entry["inputs"][name] for name in ("mu", "sigma0", "um", "T", "A"))
    risks = global_risks(mu, sigma, u, (-t, t), (-a, a))
    assert risks.consumer == within(entry, entry["expected"]["consumer"])
    assert risks.producer == within(entry, entry["expected"]["producer"])


def bivariate(mean, sigma, u, tolerance, acceptance):
    """The same risks as rectangles under the joint normal density of value and reading."""
    s = math.hypot(sigma, u)
    joint = stats.multivariate_normal([mean, mean], [[sigma**2, sigma**2], [sigma**2, s**2]])
    far = 12 * s
    t_low, t_high = tolerance
    a_low, a_high = acceptance
    both = joint.cdf([t_high, a_high], lower_limit=[t_low, a_low])
    accepted = joint.cdf([mean + far, a_high], lower_limit=[mean - far, a_low])
    conforming = joint.cdf([t_high, mean + far], lower_limit=[t_low, mean - far])
    return accepted - both, conforming - both


@pytest.mark.parametrize(
    "case",
    [
        pytest.param((0.2, 0.4, 0.1, (-1.0, 1.0), (-0.9, 0.9)), id="off centre"),
        pytest.param((0.0, 0.5, 0.3, (-1.0, 0.5), (-1.2, 0.4)), id="uneven"),
        pytest.param((3.31, 0.05, 0.008, (3.135, 3.465), (3.151, 3.449)), id="a rail"),
    ],
)
def test_it_agrees_with_the_joint_distribution(case):
    risks = global_risks(*case)
    consumer, producer = bivariate(*case)
    assert risks.consumer == pytest.approx(consumer, abs=2e-6)
    assert risks.producer == pytest.approx(producer, abs=2e-6)


def test_it_agrees_with_simulation():
    rng = np.random.default_rng(9)
    values = rng.normal(0.1, 0.5, 1_000_000)
    readings = values + rng.normal(0, 0.2, values.size)
    conforms, accepted = np.abs(values) <= 1, np.abs(readings) <= 0.8
    risks = global_risks(0.1, 0.5, 0.2, (-1.0, 1.0), (-0.8, 0.8))
    assert risks.consumer == pytest.approx(np.mean(~conforms & accepted), abs=3e-4)
    assert risks.producer == pytest.approx(np.mean(conforms & ~accepted), abs=1.5e-3)


@settings(max_examples=25, deadline=None)
@given(st.floats(-1, 1), st.floats(1e-3, 10), st.floats(1e-3, 10), st.floats(0.01, 0.9))
def test_it_trades_one_risk_for_the_other(mean, sigma, u, shrink):
    simple = global_risks(mean, sigma, u, (-1.0, 1.0), (-1.0, 1.0))
    guarded = global_risks(mean, sigma, u, (-1.0, 1.0), (-shrink, shrink))
    assert -1e-12 <= guarded.consumer <= simple.consumer + 1e-12
    assert simple.producer - 1e-12 <= guarded.producer <= 1.0 + 1e-12


@pytest.mark.parametrize(
    "case",
    [
        pytest.param((0.0, 0.0, 1.0, (-1.0, 1.0), (-1.0, 1.0)), id="no spread"),
        pytest.param((0.0, 1.0, math.nan, (-1.0, 1.0), (-1.0, 1.0)), id="no u"),
        pytest.param((0.0, 1.0, 1.0, (1.0, -1.0), (-1.0, 1.0)), id="crossed"),
        pytest.param((0.0, 1.0, 1.0, (-1.0, 1.0), (-math.inf, 1.0)), id="open"),
    ],
)
def test_it_refuses_impossible_products(case):
    with pytest.raises(DecisionError):
        global_risks(*case)
