import math
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty import (
    correlation_matrix,
    propagate,
    relative_deviation_of_s,
    type_a,
    type_a_covariance,
)

from .golden import ENTRIES, within


def test_it_evaluates_the_twenty_temperatures_of_the_guide():
    entry = ENTRIES["C-07"]
    result = type_a(entry["inputs"]["data"])
    assert result.mean == within(entry, entry["expected"]["mean"])
    assert result.standard_deviation == within(entry, entry["expected"]["s"])
    assert result.standard_uncertainty == within(entry, entry["expected"]["u"])
    assert (result.degrees_of_freedom, result.n) == (19, 20)


def observed(entry):
    given_ = entry["inputs"]
    sets = np.column_stack([given_["V"], np.array(given_["I_mA"]) / 1000, given_["phi"]])
    return type_a_covariance(sets)


def test_it_evaluates_voltage_current_and_phase_read_together():
    entry = ENTRIES["C-01"]
    expected = entry["expected"]
    (v, i, phi), covariance = observed(entry)
    u_v, u_i, u_phi = np.sqrt(np.diag(covariance))
    r = correlation_matrix(covariance)
    found = {"V": v, "uV": u_v, "I_mA": 1e3 * i, "uI_mA": 1e3 * u_i, "phi": phi, "uphi": u_phi}
    found |= {"rVI": r[0, 1], "rVphi": r[0, 2], "rIphi": r[1, 2]}
    assert found == {name: within(entry, expected[name], name) for name in expected}


@pytest.mark.parametrize("key", ["C-02", "C-03"])
def test_it_carries_correlated_means_to_an_impedance(key):
    entry = ENTRIES[key]
    (v, i, phi), covariance = observed(entry)
    z = v / i
    r, x = z * math.cos(phi), z * math.sin(phi)
    # Derivatives of R = Z cos phi, X = Z sin phi and Z = V / I (JCGM 100:2008, H.2.3).
    jacobian = [[r / v, -r / i, -x], [x / v, -x / i, r], [z / v, -z / i, 0.0]]
    results = propagate(jacobian, covariance)
    u_r, u_x, u_z = np.sqrt(np.diag(results))
    rho = correlation_matrix(results)
    found = {"R": r, "uR": u_r, "X": x, "uX": u_x, "Z": z, "uZ": u_z}
    found |= {"rRX": rho[0, 1], "rRZ": rho[0, 2], "rXZ": rho[1, 2]}
    assert found == {name: within(entry, value, name) for name, value in entry["expected"].items()}


def test_it_knows_how_little_a_small_sample_says_about_scatter():
    entry = ENTRIES["C-23"]
    found = [100 * relative_deviation_of_s(n) for n in entry["inputs"]["n"]]
    assert found == within(entry, entry["expected"])


def test_it_agrees_with_simulated_scatter_of_s():
    samples = np.random.default_rng(7).standard_normal((200_000, 4)).std(axis=1, ddof=1)
    assert relative_deviation_of_s(4) == pytest.approx(samples.std() / samples.mean(), rel=0.01)


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=30))
def test_it_agrees_with_the_standard_library(values):
    result = type_a(values)
    assert result.mean == pytest.approx(statistics.mean(values), rel=1e-9, abs=1e-9)
    assert result.standard_deviation == pytest.approx(statistics.stdev(values), rel=1e-9, abs=1e-9)


def test_it_keeps_a_small_scatter_on_a_large_value():
    assert type_a([1e9 + 1, 1e9 + 2, 1e9 + 3]).standard_deviation == 1.0


@pytest.mark.parametrize("values", [[], [1.0], [1.0, math.nan], [1.0, math.inf]], ids=str)
def test_it_refuses_observations_that_show_no_scatter(values):
    with pytest.raises(UncertaintyError):
        type_a(values)


@pytest.mark.parametrize("sets", [[1.0, 2.0], [[1.0, 2.0]], [[1.0], [math.nan]]], ids=["flat", "one", "nan"])
def test_it_refuses_incomplete_sets(sets):
    with pytest.raises(UncertaintyError):
        type_a_covariance(sets)


def test_it_refuses_the_scatter_of_one_value():
    with pytest.raises(UncertaintyError):
        relative_deviation_of_s(1)
