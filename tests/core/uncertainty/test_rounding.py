from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty import round_reported_uncertainty, round_to_uncertainty, round_up_significant

from .golden import ENTRIES


def test_it_rounds_reported_results_as_the_guide_does():
    # The numbers of JCGM 100:2008, 7.2.6, which the fixture quotes in its statement.
    expected = ENTRIES["C-31"]["expected"]
    assert str(round_to_uncertainty(Decimal("10.05762"), Decimal("0.027"))) == expected["y"]
    assert round_reported_uncertainty(Decimal("10.47")) == expected["u1_mohm"]
    assert round_reported_uncertainty(Decimal("28.05")) == expected["u2_kHz"]


@pytest.mark.parametrize(
    ("value", "rounded"),
    [
        pytest.param(0.0311769145, "0.03118", id="up"),
        pytest.param(0.0311701, "0.03118", id="up even by little"),
        pytest.param(0.0020000000000000005, "0.002", id="binary noise is no excess"),
        pytest.param(0.1 + 0.2, "0.3", id="noise of a sum"),
        pytest.param(9999.1, "10000", id="into the next decade"),
        pytest.param(0.0, "0", id="zero"),
    ],
)
def test_it_rounds_up_to_four_digits(value, rounded):
    assert round_up_significant(value, 4) == Decimal(rounded)


@given(st.floats(1e-15, 1e15))
def test_it_never_makes_an_uncertainty_smaller(value):
    rounded = round_up_significant(value, 4)
    assert value * (1 - 1e-11) <= rounded <= Decimal(value) * Decimal("1.001")


@pytest.mark.parametrize("value", [-1.0, float("nan"), float("inf")])
def test_it_refuses_what_is_no_uncertainty(value):
    with pytest.raises(UncertaintyError):
        round_up_significant(value, 4)


def test_it_refuses_to_round_by_an_uncertainty_of_zero():
    with pytest.raises(UncertaintyError):
        round_to_uncertainty(Decimal(1), Decimal(0))
