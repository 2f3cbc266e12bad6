import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty import (
    combine,
    coverage_factor,
    effective_degrees_of_freedom,
    truncated_degrees_of_freedom,
)

from .golden import ENTRIES, within


@pytest.mark.parametrize("key", ["C-17", "C-18", "C-19", "C-20", "C-21", "C-22"])
def test_it_prints_the_tables_of_the_guide(key):
    entry = ENTRIES[key]
    found = [coverage_factor(p / 100, entry["inputs"]["nu"]) for p in entry["inputs"]["p"]]
    assert found == within(entry, entry["expected"])


def test_it_recovers_the_uncertainty_of_a_certificate():
    entry = ENTRIES["C-11"]
    k = coverage_factor(entry["inputs"]["level"])
    assert k == within(entry, entry["expected"]["k"], "k")
    assert entry["inputs"]["U"] / k == within(entry, entry["expected"]["u"], "u")


def test_it_takes_the_degrees_of_freedom_of_the_guide_as_19():
    entry = ENTRIES["C-16"]
    u, nu = entry["inputs"]["u"], entry["inputs"]["nu"]
    nu_eff = effective_degrees_of_freedom(u, nu)
    t = coverage_factor(entry["inputs"]["p"], nu_eff)
    found = {"u": combine(u), "nu_eff": nu_eff, "t": t, "U": t * combine(u)}
    assert found == {name: within(entry, value, name) for name, value in entry["expected"].items()}


def test_it_cuts_degrees_of_freedom_to_the_next_lower_integer():
    entry = ENTRIES["C-32"]
    nu_eff = effective_degrees_of_freedom(entry["inputs"]["u"], entry["inputs"]["nu"])
    assert nu_eff == within(entry, entry["expected"]["nu_eff"])
    assert combine(entry["inputs"]["u"]) == within(entry, entry["expected"]["u"])
    assert truncated_degrees_of_freedom(nu_eff) == entry["expected"]["nu_used"]
    assert coverage_factor(0.95, nu_eff) == coverage_factor(0.95, entry["expected"]["nu_used"])


def test_it_expands_the_hundred_gram_mass():
    entry = ENTRIES["C-34"]
    t = coverage_factor(entry["inputs"]["p"], entry["inputs"]["nu"])
    assert t == within(entry, entry["expected"]["t"])
    assert t * entry["inputs"]["u"] == within(entry, entry["expected"]["U"])


def test_it_takes_two_for_the_level_of_two():
    assert coverage_factor(0.9545) == coverage_factor(0.9545, math.inf) == 2.0
    assert coverage_factor(0.9545) == pytest.approx(coverage_factor(0.95449974), rel=1e-7)


@pytest.mark.parametrize("nu", [1, 3, 12])
def test_it_covers_the_level_under_the_student_density(nu):
    def density(t):
        constant = math.gamma((nu + 1) / 2) / math.sqrt(nu * math.pi) / math.gamma(nu / 2)
        return constant * (1 + t * t / nu) ** (-(nu + 1) / 2)

    k = coverage_factor(0.9545, nu)
    assert integrate.quad(density, -k, k)[0] == pytest.approx(0.9545, rel=1e-9)


@given(st.lists(st.tuples(st.floats(1e-9, 1e3), st.integers(1, 100)), min_size=1, max_size=6))
def test_it_stays_between_the_smallest_and_the_sum_of_degrees_of_freedom(parts):
    u, nu = zip(*parts, strict=True)
    assert min(nu) * (1 - 1e-12) <= effective_degrees_of_freedom(u, nu) <= sum(nu) * (1 + 1e-12)


def test_it_keeps_the_degrees_of_freedom_of_the_smallest_units():
    picovolts = effective_degrees_of_freedom([2e-120, 1e-120], [4, 9])
    assert picovolts == pytest.approx(effective_degrees_of_freedom([2.0, 1.0], [4, 9]), rel=1e-12)


@pytest.mark.parametrize(
    ("u", "nu"), [([1.0], [None]), ([0.0, 1.0], [4, None]), ([0.0], [4]), ([], [])], ids=str
)
def test_it_finds_them_infinite_where_no_scatter_enters(u, nu):
    assert effective_degrees_of_freedom(u, nu) is None


@pytest.mark.parametrize(("u", "nu"), [([1.0], [0]), ([1.0], [-1]), ([1.0], []), ([-1.0], [3])], ids=str)
def test_it_refuses_impossible_degrees_of_freedom(u, nu):
    with pytest.raises(UncertaintyError):
        effective_degrees_of_freedom(u, nu)


@pytest.mark.parametrize(
    ("level", "nu"), [(0.0, None), (1.0, None), (math.nan, None), (0.95, 0.5), (0.95, math.nan)], ids=str
)
def test_it_refuses_an_impossible_level(level, nu):
    with pytest.raises(UncertaintyError):
        coverage_factor(level, nu)
