from decimal import Decimal
from typing import Any

import pytest

from logbook.core.errors import LimitError, UnitMismatchError
from logbook.core.limits import Limits, parse_limits
from logbook.core.quantities import unit_named

V = unit_named("V")
PLAIN = unit_named("")


@pytest.mark.parametrize(
    ("fields", "part"),
    [
        ({"kind": "number", "low": 2, "high": 1}, "lower limit 2 is above the upper limit 1"),
        ({"kind": "number"}, "lower or an upper"),
        ({"kind": "number", "low": 1, "trials": 5}, "Only a count"),
        ({"kind": "number", "low": 1, "expected": True}, "Only yes or no"),
        ({"kind": "number", "low": "NaN"}, "finite"),
        ({"kind": "number", "low": 1, "nominal": "Infinity"}, "finite"),
        ({"kind": "count", "low": "0.5"}, "whole number"),
        ({"kind": "count", "low": -1}, "whole number"),
        ({"kind": "count", "high": 3, "trials": 2}, "No more than 2"),
        ({"kind": "count", "high": 0, "trials": 0}, "at least one trial"),
        ({"kind": "yes_no"}, "expected answer"),
        ({"kind": "yes_no", "expected": True, "low": 1}, "expected answer"),
        ({"kind": "mask", "low": 1}, "no kind"),
    ],
    ids=str,
)
def test_it_refuses_limits_that_contradict_themselves(fields: dict[str, Any], part: str) -> None:
    numbers = {name: Decimal(fields[name]) for name in ("low", "high", "nominal") if name in fields}
    rest = {name: fields[name] for name in ("kind", "trials", "expected") if name in fields}
    with pytest.raises(LimitError, match=part):
        Limits(**{"low": None, "high": None, "unit": V} | numbers | rest)


def test_it_accepts_equal_bounds() -> None:
    assert Limits("number", Decimal(256), Decimal(256), PLAIN).width == 0


@pytest.mark.parametrize(
    ("text", "width", "is_one_sided"),
    [
        ("3.3 V ± 5 %", Decimal("0.33"), False),
        (">= 90 dB", None, True),
        ("<= 20 mV", None, True),
        ("yes", None, False),
    ],
)
def test_it_knows_its_width(text: str, width: Decimal | None, is_one_sided: bool) -> None:
    limits = parse_limits(text)
    assert (limits.width, limits.is_one_sided) == (width, is_one_sided)


def test_it_converts_bounds_and_nominal_exactly() -> None:
    limits = parse_limits("3.3 V ± 5 %").in_unit("mV")
    assert (limits.low, limits.high, limits.nominal) == (3135, 3465, 3300)
    assert (limits.unit.symbol, limits.text) == ("mV", "3.3 V ± 5 %")


def test_it_keeps_an_open_side_open() -> None:
    assert parse_limits("<= 20 mV").in_unit("V").low is None


def test_it_has_no_unit_to_convert_for_yes() -> None:
    assert parse_limits("yes").in_unit("V") == parse_limits("yes")


def test_it_names_both_units_that_do_not_fit() -> None:
    with pytest.raises(UnitMismatchError, match="mV cannot be converted into A"):
        parse_limits("<= 20 mV").in_unit("A")
