import math
from decimal import Decimal
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import FormulaError, ToleranceError
from logbook.core.formulas import parse_formula
from logbook.core.tolerance import Part, corner_extremes, extreme_values, parse_part, stack_up
from tests.core.tolerance.golden import agrees, cases, parts_of


def extremes(text: str, *parts: Part, **options: Any) -> tuple[float, float, bool]:
    found = extreme_values(parse_formula(text), parts, **options)
    return found.low, found.high, found.exact


@pytest.mark.parametrize("case", cases("corners"))
def test_it_agrees_with_all_corners_of_a_monotonic_formula(case: dict[str, Any]) -> None:
    formula, parts = parse_formula(case["inputs"]["expr"]), parts_of(case)
    found = extreme_values(formula, parts)
    assert (found.low, found.high) == pytest.approx(corner_extremes(formula, parts), rel=1e-12)


@pytest.mark.parametrize("case", cases("interior"))
def test_it_finds_an_extreme_between_the_corners(case: dict[str, Any]) -> None:
    inputs = case["inputs"]
    load = Part("RL", sum(inputs["RL"]) / 2, *inputs["RL"])
    fixed = [Part(name, *[inputs[name]] * 3) for name in ("V", "Rs")]
    formula = parse_formula("V**2*RL/(RL + Rs)**2")
    found = extreme_values(formula, [load, *fixed])
    corner = corner_extremes(formula, [load, *fixed])[1]
    assert found.exact
    assert agrees(case, {"corner_max": corner, "true_max": found.high, "min": found.low})


@pytest.mark.parametrize(
    ("text", "box", "low", "high"),
    [
        # Extremes by hand.
        ("x**3 - x", {"x": (-1, 1)}, -2 / math.sqrt(27), 2 / math.sqrt(27)),
        ("x*(1 - x)", {"x": (0.2, 0.9)}, 0.09, 0.25),
        ("sin(x)*cos(y)", {"x": (0, 7), "y": (-3, 3)}, -1, 1),
        ("x**x", {"x": (0.1, 1)}, math.exp(-1 / math.e), 1),
        ("abs(x - 1) + max(x, y)", {"x": (-2, 2), "y": (-2, 2)}, 1, 5),
        ("x - x", {"x": (9, 11)}, 0, 0),
        ("sqrt(x - y)", {"x": (1, 2), "y": (0, 1)}, 0, math.sqrt(2)),
        ("exp(-(x - y)**2)", {"x": (0, 2), "y": (1, 3)}, math.exp(-9), 1),
        ("par(x, y)", {"x": (9, 11), "y": (9, 11)}, 4.5, 5.5),
        ("1/x", {"x": (-2, -0.5)}, -2, -0.5),
    ],
)
def test_it_is_exact_where_the_formula_turns(
    text: str, box: dict[str, tuple[float, float]], low: float, high: float
) -> None:
    found = extremes(text, *(Part(n, (a + b) / 2, a, b) for n, (a, b) in box.items()))
    assert found == (pytest.approx(low, rel=1e-9, abs=1e-12), pytest.approx(high, rel=1e-9, abs=1e-12), True)


@given(st.lists(st.floats(-2, 2), min_size=4, max_size=4), st.floats(-1, 1), st.floats(0.01, 2))
def test_it_holds_what_a_fine_grid_finds(c: list[float], low: float, width: float) -> None:
    formula = parse_formula(f"{c[0]:.3f} + ({c[1]:.3f})*x + ({c[2]:.3f})*x**2 + ({c[3]:.3f})*sin(3*x)*x")
    grid = np.asarray(formula.evaluate({"x": np.linspace(low, low + width, 20_001)}) * np.ones(20_001))
    found = extreme_values(formula, [Part("x", low, low, low + width)])
    scale = 1e-6 * (1 + np.abs(grid).max())
    # What is promised: 1e-9 of the extreme, or near 0 a sliver of the whole width.
    assert found.low <= grid.min() + 1e-9 * abs(grid.min()) + 1e-11
    assert found.high >= grid.max() - 1e-9 * abs(grid.max()) - 1e-11
    assert (found.low, found.high) == (
        pytest.approx(grid.min(), abs=scale),
        pytest.approx(grid.max(), abs=scale),
    )


def test_out_of_budget_it_says_so_and_still_holds_the_truth() -> None:
    low, high, exact = extremes("sin(x)*cos(y)", Part("x", 1, 0, 7), Part("y", 0, -3, 3), budget=3)
    assert (exact, low <= -1, high >= 1) == (False, True, True)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("1/x", -1, 2),
        ("tan(x)", 0, 1.6),
        ("ln(x)", -1, 1),
        ("atan(1/x)", -1, 2),
        ("sqrt(x)", -1, 2),
        ("ln(x)", 0, 1),
    ],
)
def test_it_refuses_a_box_with_a_gap(text: str, low: float, high: float) -> None:
    with pytest.raises((FormulaError, ToleranceError), match=r"within|pole"):
        extremes(text, Part("x", high, low, high))


def exact_ends(values: list[Fraction]) -> tuple[Fraction, Fraction]:
    return min(values), max(values)


TYPED = st.decimals(min_value="0.001", max_value="9999", places=4, allow_nan=False)


@given(
    nominals=st.lists(TYPED, min_size=3, max_size=3),
    tolerances=st.lists(st.integers(1, 400), min_size=3, max_size=3),
)
def test_its_ends_are_never_inside_the_truth_in_exact_fractions(
    nominals: list[Decimal], tolerances: list[int]
) -> None:
    # The truth by rational arithmetic on the decimals as typed: v(1 + a/b) rises in v and a and falls in b.
    (v, a, b) = (
        (Fraction(one) * (1 - Fraction(per, 1000)), Fraction(one) * (1 + Fraction(per, 1000)))
        for one, per in zip(nominals, tolerances, strict=True)
    )
    parts = [
        parse_part(name, {"nominal": str(one), "tolerance": f"{Decimal(per) / 10} %"})
        for name, one, per in zip("vab", nominals, tolerances, strict=True)
    ]
    found = extreme_values(parse_formula("v*(1 + a/b)"), parts)
    assert Fraction(found.low) <= v[0] * (1 + a[0] / b[1])
    assert Fraction(found.high) >= v[1] * (1 + a[1] / b[0])


@given(middle=st.integers(-300, 300), reach=st.integers(1, 500), top=st.integers(-200, 200))
def test_a_turning_point_inside_the_box_is_enclosed(middle: int, reach: int, top: int) -> None:
    # Dense sampling in exact fractions of a parabola that turns at a decimal number.
    turn = Fraction(top, 100)
    ends = (Fraction(middle - reach, 100), Fraction(middle + reach, 100))
    part = parse_part(
        "x", {"low": str(Decimal(middle - reach) / 100), "high": str(Decimal(middle + reach) / 100)}
    )
    fixed = parse_part("t", str(Decimal(top) / 100))
    found = extreme_values(parse_formula("(x - t)*(t - x)"), [part, fixed])
    points = [ends[0] + (ends[1] - ends[0]) * Fraction(step, 200) for step in range(201)]
    points += [turn] if ends[0] <= turn <= ends[1] else []
    low, high = exact_ends([-((x - turn) ** 2) for x in points])
    assert Fraction(found.low) <= low <= high <= Fraction(found.high)
    assert found.exact
    assert found.high - float(high) <= 1e-9


def test_an_end_in_another_unit_is_still_outside() -> None:
    parts = [parse_part("v", {"nominal": "0.3 V", "tolerance": "10 %"})]
    found = stack_up("v", parts, unit="mV", samples=1_000).extreme
    assert Fraction(found.low) <= 270 <= 330 <= Fraction(found.high)
    assert found.high == pytest.approx(330, rel=1e-14)
