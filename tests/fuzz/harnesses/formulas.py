"""Formulas over named parts."""

from __future__ import annotations

import math

from logbook.core.errors import FormulaError
from logbook.core.formulas import parse_formula

SEEDS = [
    b"vref*(1 + rtop/rbot)",
    b"par(a, b, c)",
    b"-2**2**x",
    b"sqrt(abs(v))*log10(10)",
    b"min(a,1e9)/max(b,pi)",
    b"1/(2*pi*r*c)",
]
POINTS = (1.0, -2.5, 0.0, 1e-300, 1e300)


def read(data: bytes) -> None:
    """Read the text and compute with it; a value is finite and lies in the interval around it."""
    try:
        formula = parse_formula(data.decode("utf-8", "surrogateescape"))
    except FormulaError:
        return
    assert len(formula.steps) <= 400
    for point in POINTS:
        values = dict.fromkeys(formula.names, point)
        around = formula.enclose({name: (value, value) for name, value in values.items()})
        try:
            value = formula.evaluate(values)
        except FormulaError:
            continue
        assert math.isfinite(value)
        assert around.low <= value <= around.high
        try:
            assert all(map(math.isfinite, formula.gradient(values).values()))
        except FormulaError:
            continue
