"""The unit a reason is written in is that of the quantity written alone (SI Brochure, Table 7)."""

from decimal import Decimal

from hypothesis import example, given
from hypothesis import strategies as st

from logbook.core.quantities import format_quantity, unit_named
from logbook.core.verdict.reasons import _prefixed, _short

# No quantity has more digits (`logbook.core.quantities.decimals`).
MOST_DIGITS = 64
SIZES = st.decimals("1e-20", "1e20", allow_nan=False).filter(
    lambda size: size > 0 and len(size.as_tuple().digits) <= MOST_DIGITS
)
UNITS = st.sampled_from(["V", "mV", "µA", "kΩ", "MHz", "s", "%", "°C", "dB", ""]).map(unit_named)


@given(SIZES, UNITS)
@example(Decimal("999.9996"), unit_named("mV"))
@example(Decimal("0.0009999996"), unit_named("V"))
@example(Decimal(1000), unit_named("mV"))
def test_a_reason_takes_the_prefix_of_the_quantity_alone(size, unit):
    shown = format_quantity(size, unit, digits=6)
    assert _prefixed(size, unit).symbol == shown.partition(" ")[2]


@given(SIZES)
@example(Decimal("1E+3"))
@example(Decimal("0.0120"))
def test_a_reason_writes_six_digits_without_the_zeros_at_their_end(size):
    text = _short(size)
    assert Decimal(text) == Decimal(f"{size:.5e}")
    assert "E" not in text
    assert not ("." in text and text.endswith("0"))
