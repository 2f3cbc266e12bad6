import math

import GTC
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import correlated_values, ufloat, umath

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty import (
    combine,
    correlation_matrix,
    coverage_factor,
    divisor,
    effective_degrees_of_freedom,
    propagate,
)

from .golden import ENTRIES, within

PER_NEPER = 20 / math.log(10)

# Partial derivatives of the models of C-27 to C-30, written down by hand.
MODELS = {
    "C-27": lambda v, r: (v / r, [1 / r, -v / r**2]),
    "C-28": lambda v, r: (v**2 / r, [2 * v / r, -(v**2) / r**2]),
    "C-29": lambda v1, v2: (v1 - v2, [1, -1]),
    "C-30": lambda vo, vi: (20 * math.log10(vo / vi), [PER_NEPER / vo, -PER_NEPER / vi]),
}


def correlations_of(given_):
    names = list(given_["vars"])
    matrix = np.eye(len(names))
    for a, b, r in given_["corr"]:
        matrix[names.index(a), names.index(b)] = matrix[names.index(b), names.index(a)] = r
    return matrix


@pytest.mark.parametrize("key", MODELS)
def test_it_propagates_through_a_model(key):
    entry = ENTRIES[key]
    values, u = zip(*entry["inputs"]["vars"].values(), strict=True)
    y, sensitivities = MODELS[key](*values)
    assert y == within(entry, entry["expected"]["y"])
    assert combine(u, sensitivities, correlations_of(entry["inputs"])) == within(
        entry, entry["expected"]["u"]
    )


@pytest.mark.parametrize("key", MODELS)
def test_it_agrees_with_a_library_that_differentiates(key):
    given_ = ENTRIES[key]["inputs"]
    values, u = zip(*given_["vars"].values(), strict=True)
    inputs = correlated_values(values, np.outer(u, u) * correlations_of(given_))
    model = eval(given_["expr"], {"log10": umath.log10} | dict(zip(given_["vars"], inputs, strict=True)))
    _, sensitivities = MODELS[key](*values)
    assert combine(u, sensitivities, correlations_of(given_)) == pytest.approx(model.std_dev, rel=1e-9)


def test_it_adds_fully_correlated_resistors_linearly():
    entry = ENTRIES["C-15"]
    n, u = entry["inputs"]["n"], entry["inputs"]["u"]
    assert combine([u] * n, correlations=np.ones((n, n))) == within(entry, entry["expected"]["correlated"])
    assert combine([u] * n) == within(entry, entry["expected"]["uncorrelated"])


def end_gauge():
    """Values, standard uncertainties, sensitivities and degrees of freedom of JCGM 100:2008, H.1 (nm)."""
    given_ = ENTRIES["C-04"]["inputs"]
    (l_s, u_ls, nu_ls), d = given_["ls"], given_["d"]
    alpha, half_alpha = given_["alpha_s"]
    _, half_d_alpha, nu_d_alpha = given_["d_alpha"]
    _, half_d_theta, nu_d_theta = given_["d_theta"]
    theta, u_theta_bar = given_["theta_bar"]
    rectangular = divisor("rectangular")
    u = [u_ls, *(part[1] for part in d), half_d_alpha / rectangular, half_d_theta / rectangular]
    c = [1.0, 1.0, 1.0, 1.0, -l_s * theta, -l_s * alpha]
    nu = [nu_ls, *(part[2] for part in d), nu_d_alpha, nu_d_theta]
    u_theta = combine([u_theta_bar, given_["Delta"][1] / divisor("arcsine")])
    second_order = [l_s * u[4] * u_theta, l_s * half_alpha / rectangular * u[5]]
    return l_s + sum(part[0] for part in d), u, c, nu, second_order


def test_it_reproduces_the_end_gauge_of_the_guide():
    entry = ENTRIES["C-04"]
    length_nm, u, c, nu, _ = end_gauge()
    u_c = combine(u, c)
    nu_eff = effective_degrees_of_freedom([abs(a * b) for a, b in zip(u, c, strict=True)], nu)
    t99 = coverage_factor(0.99, nu_eff)
    found = {"l_mm": length_nm / 1e6, "u_nm": u_c, "nu_eff": nu_eff, "t99": t99, "U99_nm": t99 * u_c}
    assert found == {name: within(entry, value, name) for name, value in entry["expected"].items()}


def test_it_takes_second_order_terms_as_further_contributions():
    entry = ENTRIES["C-05"]
    _, u, c, _, second_order = end_gauge()
    combined = combine([*u, *second_order], [*c, 1.0, 1.0])
    assert combined == within(entry, entry["expected"]["u_nm"])


def test_it_reproduces_the_thermometer_correction_of_the_guide():
    entry = ENTRIES["C-06"]
    given_ = entry["inputs"]
    t, b = np.array(given_["t"]) - given_["t0"], np.array(given_["b"])
    # Least squares is linear in the observations: its coefficients are the sensitivities.
    sensitivities = np.linalg.pinv(np.column_stack([np.ones_like(t), t]))
    y1, y2 = sensitivities @ b
    s = math.sqrt(((b - y1 - y2 * t) ** 2).sum() / (t.size - 2))
    covariance = propagate(sensitivities, s**2 * np.eye(t.size))
    ahead = given_["t_pred"] - given_["t0"]
    u_pred = math.sqrt(propagate([1.0, ahead], covariance)[0, 0])
    u1, u2 = np.sqrt(np.diag(covariance))
    found = {"y1": y1, "u1": u1, "y2": y2, "u2": u2, "r": correlation_matrix(covariance)[0, 1], "s": s}
    found |= {"pred": y1 + y2 * ahead, "u_pred": u_pred}
    assert found == {name: within(entry, value, name) for name, value in entry["expected"].items()}


def test_it_adds_four_rectangular_quantities():
    entry = ENTRIES["C-33"]
    u = combine([half * 3**0.5 / divisor("rectangular") for half in entry["inputs"]["w"]])
    assert u == within(entry, entry["expected"]["u"], "u")
    assert coverage_factor(0.95) * u == within(entry, entry["expected"]["gauss_95"], "gauss_95")


def test_it_overstates_the_shortest_interval_of_four_rectangular_quantities():
    entry = ENTRIES["C-33"]
    sums = np.random.default_rng(11).uniform(-math.sqrt(3), math.sqrt(3), (1_000_000, 4)).sum(axis=1)
    half_95 = np.quantile(np.abs(sums), 0.95)
    assert half_95 == within(entry, entry["expected"]["half_95"], "half_95")
    assert half_95 < coverage_factor(0.95) * combine(entry["inputs"]["w"])


@given(st.lists(st.floats(1e-9, 1e6), min_size=1, max_size=8))
def test_it_combines_independent_parts_as_another_library_does(u):
    total = sum(ufloat(0.0, part) for part in u)
    assert combine(u) == pytest.approx(total.std_dev, rel=1e-12)


def test_it_agrees_with_a_library_that_keeps_degrees_of_freedom():
    inputs = [(2.0, 4), (1.5, 30), (0.8, 9)]
    total = sum((GTC.ureal(0.0, u, nu) for u, nu in inputs), GTC.constant(0.0))
    u, nu = zip(*inputs, strict=True)
    assert combine(u) == pytest.approx(total.u, rel=1e-12)
    assert effective_degrees_of_freedom(u, nu) == pytest.approx(total.df, rel=1e-12)


def test_it_lets_correlated_parts_cancel():
    assert combine([0.1, 0.1], [1.0, -1.0], [[1.0, 1.0], [1.0, 1.0]]) == 0.0


@pytest.mark.parametrize(
    "arguments",
    [
        pytest.param(([-1.0],), id="negative"),
        pytest.param(([math.nan],), id="not a number"),
        pytest.param(([1.0], [1.0, 2.0]), id="lengths differ"),
        pytest.param(([1.0], [math.inf]), id="infinite sensitivity"),
        pytest.param(([1.0, 1.0], None, [[1.0, 2.0], [2.0, 1.0]]), id="correlation above 1"),
        pytest.param(([1.0, 1.0], None, [[1.0, 0.5], [0.2, 1.0]]), id="not symmetric"),
        pytest.param(([1.0, 1.0], None, [[1.0]]), id="wrong shape"),
    ],
)
def test_it_refuses_to_combine(arguments):
    with pytest.raises(UncertaintyError):
        combine(*arguments)


def test_it_refuses_a_covariance_that_does_not_fit():
    with pytest.raises(UncertaintyError, match="3 sensitivities"):
        propagate([1.0, 2.0, 3.0], np.eye(2))


def test_it_refuses_a_covariance_that_is_not_finite():
    with pytest.raises(UncertaintyError):
        propagate([1.0], [[math.nan]])


def test_it_knows_no_correlation_of_a_constant():
    with pytest.raises(UncertaintyError):
        correlation_matrix([[0.0]])
