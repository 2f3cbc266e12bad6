import math
from typing import Any

import numpy as np
import pytest
from uncertainties import ufloat

from logbook.core.errors import FormulaError, ToleranceError
from logbook.core.formulas import parse_formula
from logbook.core.tolerance import Part, parse_part, stack_up
from logbook.core.uncertainty import combine
from tests.core.tolerance.golden import agrees, cases, entry, parts_of

SMALL = {"samples": 2_000}


@pytest.mark.parametrize("case", cases("corners"))
def test_its_extremes_are_the_published_ones(case: dict[str, Any]) -> None:
    found = stack_up(case["inputs"]["expr"], parts_of(case), **SMALL)
    assert found.extreme.exact
    assert agrees(case, {"nominal": found.nominal, "min": found.extreme.low, "max": found.extreme.high})


@pytest.mark.parametrize("case", cases("rss"))
def test_its_root_sum_square_is_the_published_one(case: dict[str, Any]) -> None:
    found = stack_up(case["inputs"]["expr"], parts_of(case), **SMALL)
    half = found.root_sum_square.high - found.nominal
    assert agrees(case, {"nominal": found.nominal, "half": half})
    assert found.nominal - found.root_sum_square.low == pytest.approx(half, rel=1e-9)


@pytest.mark.parametrize("case", cases("rss"))
def test_its_root_sum_square_agrees_with_linear_propagation(case: dict[str, Any]) -> None:
    # Second route: the uncertainties library with the half-widths as standard deviations.
    given = {p.name: ufloat(p.nominal, p.half_width) for p in parts_of(case)}
    wanted = eval(case["inputs"]["expr"], {}, given)
    found = stack_up(case["inputs"]["expr"], parts_of(case), **SMALL)
    assert found.root_sum_square.high - found.nominal == pytest.approx(wanted.std_dev, rel=1e-9)
    for name, value in given.items():
        assert found.sensitivities[name] == pytest.approx(wanted.derivatives[value], rel=1e-9)
        assert found.shares[name] == pytest.approx(
            (wanted.error_components()[value] / wanted.std_dev) ** 2, rel=1e-9
        )


@pytest.mark.parametrize("case", cases("lpu"))
def test_correlated_resistors_cancel(case: dict[str, Any]) -> None:
    inputs = case["inputs"]
    formula = parse_formula(inputs["expr"])
    names = list(inputs["vars"])
    slopes = formula.gradient({name: pair[0] for name, pair in inputs["vars"].items()}, names)
    r = np.eye(len(names))
    for a, b, value in inputs["corr"]:
        r[names.index(a), names.index(b)] = r[names.index(b), names.index(a)] = value
    u = combine([inputs["vars"][n][1] for n in names], [float(slopes[n]) for n in names], r)
    y = formula.evaluate({name: pair[0] for name, pair in inputs["vars"].items()})
    assert agrees(case, {"y": y, "u": u})


def test_its_linear_half_width_is_the_rule_for_dividers() -> None:
    case = entry("B-07")
    found = stack_up("Vfb*(1+Rt/Rb)", parts_of(entry("B-03")), **SMALL)
    assert agrees(case, found.linear_half_width / found.nominal)


def test_its_shares_add_up_to_one() -> None:
    found = stack_up("Vref*(1+R2/R1)+Iadj*R2", parts_of(entry("B-01")), **SMALL)
    assert math.fsum(found.shares.values()) == pytest.approx(1, rel=1e-12)


def test_it_writes_the_result_in_the_unit_asked_for() -> None:
    parts = [parse_part("v", {"nominal": "1 V", "tolerance": "1 %"}), parse_part("r", "1 kΩ")]
    found = stack_up("v/r", parts, unit="mA", **SMALL)
    assert (found.nominal, found.unit) == (pytest.approx(1), "mA")
    assert (found.extreme.low, found.extreme.high) == (pytest.approx(0.99), pytest.approx(1.01))
    assert found.monte_carlo.mean == pytest.approx(1, rel=1e-3)


def test_it_stands_still_where_nothing_varies() -> None:
    found = stack_up("a + 1", [Part("a", 2, 2, 2)], **SMALL)
    assert (found.extreme.low, found.extreme.high, found.extreme.exact) == (3, 3, True)
    assert (found.root_sum_square.low, found.shares["a"], found.monte_carlo.standard_deviation) == (3, 0, 0)


def test_a_part_the_formula_does_not_name_has_no_share() -> None:
    found = stack_up("a", [Part("a", 2, 1, 3), Part("b", 2, 1, 3)], **SMALL)
    assert (found.shares["a"], found.shares["b"]) == (1, 0)


def test_it_names_a_missing_part() -> None:
    with pytest.raises(FormulaError, match="rbot"):
        stack_up("vref/rbot", [Part("vref", 1, 1, 1)])


def test_it_refuses_two_parts_of_one_name() -> None:
    with pytest.raises(ToleranceError, match="twice"):
        stack_up("a", [Part("a", 1, 1, 1), Part("a", 2, 2, 2)])
