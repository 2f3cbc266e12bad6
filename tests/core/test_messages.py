"""What errors say is for a person at a bench: words and digits, never the spelling of a program."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

import logbook.core
from logbook.core.errors import CoreError
from logbook.core.formulas import parse_formula
from logbook.core.limits import parse_limits
from logbook.core.preferred import nearest_value
from logbook.core.quantities import parse_number, parse_quantity, unit_named
from logbook.core.samples import describe_sample, predictive_out_of_limits
from logbook.core.signals import parse_mask
from logbook.core.tolerance import parse_part, stack_terms, stack_up
from logbook.core.trade import ready_made
from logbook.core.verdict import judge_number

PROGRAM_SPELLING = re.compile(
    r"Decimal\(|NoneType|<class|<[a-z.]+ object|\\x|\\u|\\n|\[\d|\('|\['|\bdict\b|\bstr\b"
)
PACKAGES = (
    "bench_plan", "formulas", "limits", "preferred", "quantities", "risk", "samples", "signals", "tolerance",
    "trade", "uncertainty", "verdict",
)  # fmt: skip
ODD: list[Any] = [
    None,
    True,
    [1],
    {"a": 1},
    "",
    "x\ny",
    "\x00",
    "1.2.3 V",
    "4,7k",
    "🙂" * 60,
    Decimal("NaN"),
    float("inf"),
]


def said(call: Callable[[], Any]) -> str:
    with pytest.raises(CoreError) as caught:
        call()
    return " | ".join((caught.value.message, caught.value.given, caught.value.allowed, caught.value.where))


READERS: dict[str, Callable[[Any], Any]] = {
    "quantity": parse_quantity,
    "number": parse_number,
    "unit": lambda odd: unit_named(odd or "bananas"),
    "limits": parse_limits,
    "formula": parse_formula,
    "part": lambda odd: parse_part("r", {"nominal": odd}),
    "tolerance": lambda odd: parse_part("r", {"nominal": "1 V", "tolerance": odd or "much"}),
    "ready-made": ready_made,
}


@pytest.mark.parametrize("odd", ODD, ids=lambda odd: ascii(odd)[:12])
@pytest.mark.parametrize("name", READERS)
def test_no_reader_answers_in_the_spelling_of_a_program(name: str, odd: Any) -> None:
    try:
        READERS[name](odd)
    except CoreError as error:
        told = " | ".join((error.message, error.given, error.allowed))
        assert not PROGRAM_SPELLING.search(told)


@pytest.mark.parametrize(
    "call",
    [
        lambda: stack_terms([float("nan"), 1.0]),
        lambda: stack_up("a + b", [parse_part("a", 1)]),
        lambda: stack_up("a", [parse_part("a", 1)], samples=1),
        lambda: describe_sample([]),
        lambda: predictive_out_of_limits([1.0], [None], 3.0, 2.0),
        lambda: nearest_value(Decimal(-1), "E7"),
        lambda: parse_mask("1, 2"),
        lambda: judge_number(parse_limits("1 V to 2 V"), Decimal(1), expanded_uncertainty=None, rule="odd"),
        lambda: judge_number(parse_limits("yes"), Decimal(1), expanded_uncertainty=None),
    ],
    ids=["terms", "names", "samples", "empty", "order", "series", "mask", "rule", "yes"],
)
def test_no_computation_answers_in_the_spelling_of_a_program(call: Callable[[], Any]) -> None:
    assert not PROGRAM_SPELLING.search(said(call))


@pytest.mark.parametrize("package", PACKAGES)
def test_no_message_is_made_with_the_spelling_of_a_program(package: str) -> None:
    folder = Path(logbook.core.__file__).parent / package
    found = [
        f"{path.name}:{node.lineno}"
        for path in folder.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.FormattedValue) and node.conversion == ord("r")
    ]
    assert found == []


def test_a_name_the_formula_misses_is_what_was_given() -> None:
    with pytest.raises(CoreError) as caught:
        stack_up("vref/rbot", [parse_part("vref", "1 V")])
    assert (caught.value.given, caught.value.allowed) == ("rbot", "vref")


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("5 Mhz", "MHz is"),
        ("5 Khz", "not a unit"),
        ("1.2.3 V", "more than one decimal point"),
        ("4,7k", "write 4.7k or 47k"),
        ("4,7 kΩ", "write 4.7 kΩ or 47 kΩ"),
    ],
)
def test_a_slip_gets_its_hint(text: str, hint: str) -> None:
    assert hint in said(lambda: parse_quantity(text))
