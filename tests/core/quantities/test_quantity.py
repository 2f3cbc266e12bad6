from decimal import Decimal

import pytest

from logbook.core.errors import QuantityError, UnitMismatchError
from logbook.core.quantities import Quantity, parse_quantity, unit_named


def test_it_is_on_the_limit_after_scaling() -> None:
    assert parse_quantity("3465 mV").to("V") == Decimal("3.465")


def test_it_keeps_text_unit_and_digits() -> None:
    reading = parse_quantity(" 3.300 ", unit="mV")
    assert (reading.text, str(reading.value), reading.unit.symbol) == ("3.300", "3.300", "mV")
    assert (reading.base_value, reading.si) == (Decimal("0.0033"), 0.0033)


def test_it_refuses_a_foreign_unit() -> None:
    with pytest.raises(UnitMismatchError, match="V cannot be converted into mA"):
        parse_quantity("1 V").to("mA")


def test_it_refuses_a_value_that_is_not_finite() -> None:
    with pytest.raises(QuantityError):
        Quantity(Decimal("NaN"), unit_named("V"), "nan")
