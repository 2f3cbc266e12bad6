import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import FormulaError
from logbook.core.formulas import parse_formula
from tests.core.samples.golden import agrees, of_kind

SMOOTH = [
    "a*b/c - c", "a**2*b", "a**-1.5", "a**b", "2**a", "sqrt(a*b)", "exp(a/b)", "ln(a)*log10(b)",
    "sin(a)*cos(b)", "tan(a/9)", "atan(a - b)", "par(a, b, c)", "max(a, b) - min(b, c)", "abs(a - b)",
    "-a + b*pi",
]  # fmt: skip


@pytest.mark.parametrize("text", SMOOTH)
def test_its_slopes_agree_with_differences(text: str) -> None:
    formula, at = parse_formula(text), {"a": 2.3, "b": 1.7, "c": 0.9}
    slopes = formula.gradient(at)
    for name in formula.names:
        step = 1e-6
        up, down = (formula.evaluate({**at, name: at[name] + s}) for s in (step, -step))
        assert slopes[name] == pytest.approx((up - down) / (2 * step), rel=1e-6, abs=1e-8)


@pytest.mark.parametrize("text", SMOOTH)
def test_it_computes_arrays_as_it_computes_numbers(text: str) -> None:
    formula, rng = parse_formula(text), np.random.default_rng(5)
    at = {name: rng.uniform(0.5, 3, 7) for name in "abc"}
    one_by_one = [formula.evaluate({name: x[i] for name, x in at.items()}) for i in range(7)]
    assert np.asarray(formula.evaluate(at)) == pytest.approx(np.asarray(one_by_one), rel=1e-14)


def test_it_takes_an_empty_array() -> None:
    assert np.asarray(parse_formula("a*2").evaluate({"a": np.array([])})).shape == (0,)


BOXES = st.tuples(*[st.tuples(st.floats(-3, 3), st.floats(0, 4), st.floats(0, 1)) for _ in range(3)])
ANY = [*SMOOTH, "1/a", "a*b - b*a", "(a - b)**3", "sin(5*a)", "cos(a*b)", "tan(a)", "a**0.5"]


@given(st.sampled_from(ANY), BOXES)
def test_its_enclosure_holds_every_value(text: str, box: tuple[tuple[float, float, float], ...]) -> None:
    formula = parse_formula(text)
    ranges = {name: (low, low + width) for name, (low, width, _) in zip("abc", box, strict=True)}
    inside = {
        name: min(low + width * share, low + width)
        for name, (low, width, share) in zip("abc", box, strict=True)
    }
    found = formula.enclose(ranges)
    try:
        value = formula.evaluate(inside)
    except FormulaError:
        return
    assert found.low <= value <= found.high


@pytest.mark.parametrize(
    ("text", "at", "reason"),
    [
        ("1/a", 0.0, "division by zero"), ("ln(a)", -1.0, "logarithm"), ("ln(a)", 0.0, "logarithm"),
        ("sqrt(a)", -1.0, "square root"), ("exp(a)", 1000.0, "too large"), ("a**0.5", -1.0, "power"),
        ("a**-1", 0.0, "division by zero"), ("par(a, a)", 0.0, "division by zero"), ("1/(1/a)", 0.0, "zero"),
    ],
)  # fmt: skip
def test_it_says_why_there_is_no_value(text: str, at: float, reason: str) -> None:
    with pytest.raises(FormulaError, match=reason):
        parse_formula(text).evaluate({"a": at})


def test_it_names_the_missing_part() -> None:
    with pytest.raises(FormulaError, match="rbot"):
        parse_formula("rtop/rbot").evaluate({"rtop": 1.0})


def test_it_refuses_a_value_that_is_not_finite() -> None:
    with pytest.raises(FormulaError, match="finite"):
        parse_formula("a").evaluate({"a": float("nan")})


def test_it_refuses_a_slope_that_is_not_finite() -> None:
    with pytest.raises(FormulaError, match="slope"):
        parse_formula("sqrt(a)").gradient({"a": 0.0})


def test_it_survives_pickling() -> None:
    formula = parse_formula("a*(1 + b)")
    assert pickle.loads(pickle.dumps(formula)) == formula


@pytest.mark.parametrize("case", of_kind("electronics", "expr", "exprs"))
def test_it_computes_the_published_formulas(case: dict) -> None:  # type: ignore[type-arg]
    inputs = case["inputs"]
    if case["calc"] == "expr":
        assert agrees(case, parse_formula(inputs["expr"]).evaluate(inputs["vars"]))
        return
    found = {name: parse_formula(text).evaluate(inputs["vars"]) for name, text in inputs["exprs"].items()}
    assert agrees(case, found)


def test_an_enclosure_of_a_power_of_a_negative_number_holds_it() -> None:
    # (-2)^(-3) = -1/8, by the definition of a power with a whole exponent.
    found = parse_formula("a**b").enclose({"a": (-2, -2), "b": (-3, -3)})
    assert found.low <= -0.125 <= found.high
