from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from logbook.core.limits import parse_limits

NUMBERS = st.decimals(min_value=-10000, max_value=10000, places=4)
SIZES = st.decimals(min_value=0, max_value=100, places=3)


@given(NUMBERS, SIZES)
def test_it_spreads_by_the_absolute_value_of_the_nominal(nominal: Decimal, percent: Decimal) -> None:
    limits = parse_limits(f"{nominal} V ± {percent} %")
    assert limits.low == nominal - abs(nominal) * percent / 100
    assert limits.high == nominal + abs(nominal) * percent / 100


@given(NUMBERS, SIZES, SIZES)
def test_it_keeps_plus_and_minus_apart(nominal: Decimal, plus: Decimal, minus: Decimal) -> None:
    limits = parse_limits(f"{nominal} V -{minus} mV / +{plus} mV")
    assert (limits.low, limits.high) == (nominal - minus / 1000, nominal + plus / 1000)


@given(NUMBERS, SIZES)
def test_percent_and_ppm_agree(nominal: Decimal, percent: Decimal) -> None:
    one = parse_limits(f"{nominal} MHz ± {percent} %")
    other = parse_limits(f"{nominal} MHz ± {percent * 10000} ppm")
    assert (one.low, one.high) == (other.low, other.high)
