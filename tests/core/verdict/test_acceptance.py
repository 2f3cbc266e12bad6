import numpy as np
import pytest
from scipy import stats

from logbook.core.errors import DecisionError
from logbook.core.verdict import (
    Z540_3_LARGEST_FALSE_ACCEPTANCE,
    Z540_3_SMALLEST_TEST_UNCERTAINTY_RATIO,
    acceptance_factors,
    acceptance_limit,
    conformance_probability,
    guard_band_factor,
    rejection_limit,
    specific_risk,
)

from .golden import ENTRIES, within


def test_it_proves_speeding_at_the_published_speed():
    entry = ENTRIES["D-04"]
    given_ = entry["inputs"]
    speed = rejection_limit(given_["limit"], given_["rel_u"], given_["p"])
    assert speed == within(entry, entry["expected"]["v"])
    exceeded = 1.0 - conformance_probability(speed, speed * given_["rel_u"], None, given_["limit"])
    assert exceeded == pytest.approx(given_["p"], rel=1e-12)


def test_it_prints_the_table_of_guard_band_factors():
    entry = ENTRIES["D-05"]
    assert [guard_band_factor(p) for p in entry["inputs"]["p"]] == within(entry, entry["expected"])


def test_it_prints_the_table_of_specific_risks():
    entry = ENTRIES["D-19"]
    found = [100 * specific_risk(r) for r in entry["inputs"]["r"]]
    assert found == within(entry, entry["expected"])


def test_it_agrees_with_the_default_guard_band_of_a_standard():
    entry = ENTRIES["D-20"]
    z = guard_band_factor(entry["inputs"]["p"])
    assert z == within(entry, entry["expected"]["z"], "z")
    assert z / 2 == within(entry, entry["expected"]["r"], "r")


@pytest.mark.parametrize("key", ["D-21", "D-22", "D-23"])
def test_it_shrinks_a_tolerance_by_published_rules(key):
    entry = ENTRIES[key]
    ratio = entry["inputs"]["T_half"] / entry["inputs"]["U"]
    factors = acceptance_factors(ratio)
    found = {
        "tur": ratio,
        "rds": factors.root_difference_of_squares,
        "method6": factors.method_6,
        "rp10": factors.rp_10,
    }
    assert found == {name: within(entry, value) for name, value in entry["expected"].items()}


def test_it_sets_the_limit_for_a_managed_risk():
    entry = ENTRIES["D-27"]
    upper, u, risk = (entry["inputs"][name] for name in ("TU", "u", "risk"))
    limit = acceptance_limit(upper, u, risk)
    assert guard_band_factor(1.0 - risk) == within(entry, entry["expected"]["z"])
    assert limit == within(entry, entry["expected"]["AL"])
    assert conformance_probability(limit, u, None, upper) == pytest.approx(1.0 - risk, rel=1e-12)


@pytest.mark.parametrize("risk", [1e-30, 1e-6, 0.3])
def test_it_keeps_the_digits_of_a_small_risk(risk):
    assert acceptance_limit(0.0, 1.0, risk) == pytest.approx(-stats.norm.isf(risk), rel=1e-12)


def test_it_quotes_the_rule_of_a_standard():
    expected = ENTRIES["D-28"]["expected"]
    assert expected["pfa_max_percent"] == 100 * Z540_3_LARGEST_FALSE_ACCEPTANCE
    assert expected["tur_min"] == Z540_3_SMALLEST_TEST_UNCERTAINTY_RATIO


def test_it_agrees_with_a_simulated_specific_risk():
    draws = np.random.default_rng(5).standard_normal(400_000)
    assert specific_risk(0.83) == pytest.approx(np.mean(draws > 2 * 0.83), abs=0.002)


@pytest.mark.parametrize(
    "call",
    [
        pytest.param(lambda: guard_band_factor(1.0), id="certainty"),
        pytest.param(lambda: acceptance_limit(1.0, -1.0, 0.05), id="negative u"),
        pytest.param(lambda: acceptance_limit(1.0, 1.0, 0.0), id="no risk"),
        pytest.param(lambda: rejection_limit(100.0, 0.5, 0.999), id="u grows too fast"),
        pytest.param(lambda: acceptance_factors(0.9), id="ratio below 1"),
    ],
)
def test_it_refuses_what_has_no_answer(call):
    with pytest.raises(DecisionError):
        call()
