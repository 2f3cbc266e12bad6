from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import DecisionError
from logbook.core.verdict import Proof, Verdict, proof
from logbook.core.verdict.zones import deciding_uncertainty, exact_difference, margin_to_limits, zone

from .golden import ENTRIES, dec

numbers = st.decimals(min_value=-1000, max_value=1000, places=4)
widths = st.decimals(min_value=0, max_value=100, places=4)


@pytest.mark.parametrize("key", ["D-14", "D-15", "D-16", "D-17"])
def test_it_finds_the_published_zones(key):
    given_ = ENTRIES[key]["inputs"]
    low, high, w = dec(given_["TL"]), dec(given_["TU"]), dec(given_["w"])
    found = [zone(margin_to_limits(dec(y), low, high), w) for y in given_["y"]]
    assert found == ENTRIES[key]["expected"]


@pytest.mark.parametrize(
    ("border", "better"),
    [("TL-w", Verdict.PASS), ("TL", Verdict.CONDITIONAL_PASS), ("TL+w", Verdict.CONDITIONAL_FAIL)],
)
def test_it_settles_the_borders_the_guide_leaves_open(border, better):
    # JCGM 106 puts a border into the better zone; ILAC-G8 read literally allows that but for TL - w.
    limit, w = Decimal(10), Decimal("0.2")
    y = {"TL-w": limit - w, "TL": limit, "TL+w": limit + w}[border]
    assert zone(margin_to_limits(y, None, limit), w) == better
    assert (better in ENTRIES["D-18"]["expected"][border]) is (border != "TL-w")


def test_it_proves_conformity_and_its_opposite():
    entry = ENTRIES["D-30"]
    given_ = entry["inputs"]
    guard = dec(given_["z"]) * dec(given_["u"])
    found = [proof(dec(y), dec(given_["TL"]), dec(given_["TU"]), guard) for y in given_["y"]]
    assert found == entry["expected"]


@pytest.mark.parametrize(
    ("y", "expected"), [("9.8", Proof.CONFORMING), ("10.2", Proof.NOT_PROVEN)], ids=["inner", "outer"]
)
def test_it_gives_borders_of_a_proof_to_the_better_side(y, expected):
    assert proof(Decimal(y), None, Decimal(10), Decimal("0.2")) == expected


@given(numbers, numbers, widths, widths)
def test_it_judges_the_same_in_a_mirror(y, low, width, w):
    high = low + width
    assert margin_to_limits(y, low, high) == margin_to_limits(-y, -high, -low)


@given(numbers, numbers, widths, widths)
def test_it_never_improves_further_out(y, limit, step, w):
    nearer, further = margin_to_limits(y, None, limit), margin_to_limits(y + step, None, limit)
    assert zone(further, w).rank <= zone(nearer, w).rank


@given(numbers, numbers, widths, widths)
def test_it_takes_the_worse_of_two_limits(y, low, width, w):
    both = zone(margin_to_limits(y, low, low + width), w)
    each = [zone(margin_to_limits(y, low, None), w), zone(margin_to_limits(y, None, low + width), w)]
    assert both.rank == min(verdict.rank for verdict in each)


def test_it_sees_the_last_digit_of_long_numbers():
    limit = Decimal("1." + 40 * "0" + "1")
    assert margin_to_limits(limit, None, Decimal(1)) == Decimal("-1E-41")
    assert zone(Decimal("-0.1" + 40 * "0" + "1"), Decimal("0.1")) == Verdict.FAIL


def test_it_refuses_to_round_a_comparison():
    with pytest.raises(DecisionError, match="too far apart"):
        exact_difference(Decimal("1e2000"), Decimal(1))


def test_it_needs_a_limit():
    with pytest.raises(DecisionError):
        margin_to_limits(Decimal(1), None, None)


@pytest.mark.parametrize(
    ("low", "high", "floor", "expected"),
    [
        pytest.param("3.1", "3.5", None, "0.2", id="half the width"),
        pytest.param(None, "20", "0", "20", id="down to the floor"),
        pytest.param("-10", "20", "0", "15", id="both"),
        pytest.param("5", None, "0", None, id="open upwards"),
        pytest.param(None, "20", None, None, id="open downwards"),
        pytest.param(None, "-1", "0", "-1", id="never"),
    ],
)
def test_it_knows_which_uncertainty_would_do(low, high, floor, expected):
    assert deciding_uncertainty(dec(low), dec(high), dec(floor)) == dec(expected)
