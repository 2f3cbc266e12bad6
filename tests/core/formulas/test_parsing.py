import contextlib
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import FormulaError
from logbook.core.formulas import FUNCTION_NAMES, parse_formula

HOSTILE = {
    "tower": "9**9**9",
    "tower with part": "a**(9**9**9)",
    "attribute": "().__class__.__bases__",
    "attribute of a part": "a.real",
    "call of a builtin": "__import__('os')",
    "unknown call": "open(1)",
    "megabyte": "1+" * 500_000,
    "parentheses": "(" * 200 + "1" + ")" * 200,
    "minus signs": "-" * 400 + "1",
    "powers": "**".join(["a"] * 100),
    "many terms": "+".join(["1"] * 150),
    "large literal": "1e999",
    "long literal": "9" * 499,
    "wide letters": "ａ+1",
    "mathematical letters": "𝐚+1",
    "other digits": "٣+1",
    "invisible sign": "a\u200b+1",
    "null": "a\x00",
    "string": "'a'",
    "index": "a[0]",
    "lambda": "lambda: 1",
    "assignment": "a:=1",
    "keyword argument": "sqrt(x=1)",
    "star argument": "max(*a)",
    "division by zero": "1/0",
    "negative logarithm": "ln(-1)",
    "negative root": "sqrt(-1)",
    "overflow": "1e308*10",
    "empty": "",
    "blank": " \n",
    "half": "a+",
    "open": "(a",
    "closed": "a)",
    "two names": "a b",
    "letter code": "45k3",
    "hexadecimal": "0x10",
    "one argument": "min(1)",
    "two arguments": "sqrt(1, 2)",
    "bare function": "sqrt",
    "long name": "a" * 41,
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_it_refuses_hostile_text_at_once(text: str) -> None:
    start = time.perf_counter()
    with pytest.raises(FormulaError) as caught:
        parse_formula(text)
    assert time.perf_counter() - start < 0.1
    assert len(str(caught.value)) < 250


@pytest.mark.parametrize("given", [None, 5, b"a", ["a"]], ids=repr)
def test_it_refuses_what_is_no_text(given: object) -> None:
    with pytest.raises(FormulaError, match="text"):
        parse_formula(given)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("-2**2", -4), ("2**3**2", 512), ("2^3^2", 512), ("2**-1", 0.5), ("1-2-3", -4), ("8/4/2", 1),
        ("2+3*4", 14), ("(2+3)*4", 20), ("+5", 5), ("--5", 5), ("2×3−1", 5), ("1e-3", 0.001), (".5", 0.5),
        ("log(8)/ln(2)", 3), ("log10(1000)", 3), ("par(2, 2, 1)", 0.5), ("max(1, 3, 2)", 3),
        ("min(1, 3, 2)", 1),
        ("cos(pi)", -1), ("atan(1)*4", 3.141592653589793), ("abs(-3)", 3), ("exp(0)", 1), ("1 +\n2", 3),
    ],
)  # fmt: skip
def test_it_reads_the_usual_rules_of_arithmetic(text: str, value: float) -> None:
    assert parse_formula(text).evaluate({}) == pytest.approx(value, rel=1e-12)


def test_it_names_the_parts_in_order() -> None:
    assert parse_formula("vref*(1 + r_top/r2) + i2*r2").names == ("vref", "r_top", "r2", "i2")


def test_it_says_at_which_character() -> None:
    with pytest.raises(FormulaError, match="character 5"):
        parse_formula("a + $")


def test_it_takes_the_largest_text_allowed() -> None:
    assert parse_formula("a" + " " * 499).names == ("a",)
    assert parse_formula("(" * 49 + "a" + ")" * 49).evaluate({"a": 2.0}) == 2.0


@given(st.text(alphabet="0123456789.+-*/^() ,ab_eE" + "".join(FUNCTION_NAMES), max_size=60))
def test_it_reads_or_refuses_any_text_of_its_own_signs(text: str) -> None:
    try:
        formula = parse_formula(text)
    except FormulaError:
        return
    assert set(formula.names) <= set("".join(c if c.isalnum() or c == "_" else " " for c in text).split())


@given(st.text(max_size=600))
def test_it_reads_or_refuses_any_text(text: str) -> None:
    start = time.perf_counter()
    with contextlib.suppress(FormulaError):
        parse_formula(text)
    assert time.perf_counter() - start < 0.1


NUMBERS = st.floats(0.1, 9.9).map(lambda x: f"{x:.3f}")
SUMS = st.recursive(
    NUMBERS,
    lambda inner: st.tuples(inner, st.sampled_from(["+", "-", "*", "/"]), inner).map(
        lambda t: f"({''.join(t)})"
    ),
    max_leaves=12,
)


@given(SUMS)
def test_it_agrees_with_python_on_plain_arithmetic(text: str) -> None:
    # Python as the second route: the text holds generated numbers and four signs only.
    try:
        wanted = eval(text)
    except ZeroDivisionError:
        return
    assert parse_formula(text).evaluate({}) == pytest.approx(wanted, rel=1e-9, abs=1e-12)
