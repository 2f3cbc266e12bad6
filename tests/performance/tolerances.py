"""Worst-case corners and Monte Carlo against a plain loop and the bare drawing of numbers."""

from __future__ import annotations

from itertools import product as combinations
from typing import Any

import numpy as np

from tests.performance.table import row
from tests.performance.timing import in_turns, ms

SAMPLES, PARTS = 1_000_000, 6


def tolerances(bits: int) -> None:
    """P11a and P11b."""
    from logbook.core.formulas import parse_formula
    from logbook.core.tolerance.corners import corner_extremes
    from logbook.core.tolerance.monte_carlo import simulate

    names = [f"p{number}" for number in range(bits)]
    text = f"({' + '.join(names[::2])}) / ({' + '.join(names[1::2])})"
    formula, parts = parse_formula(text), [_part(name) for name in names]
    loop = _plain_loop(names, text, parts)
    assert np.allclose(corner_extremes(formula, parts), loop(), rtol=1e-12)
    found = in_turns(loop, lambda: corner_extremes(formula, parts), rounds=3)
    what = f"a compiled loop over {2**bits:,} corners, over the product"
    row("P11a", what, ms(found.floor), ms(found.product), f"{found.ratio:.0f}", ">= 25")
    six = [_part(f"p{number}") for number in range(PARTS)]
    formula = parse_formula("p0 * (1 + p1 / p2) + p3 - p4 * p5")
    rng = np.random.Generator(np.random.PCG64(1))
    drawn = in_turns(
        lambda: simulate(formula, six, samples=SAMPLES), lambda: rng.standard_normal(SAMPLES * PARTS), 5
    )
    what = f"{SAMPLES:,} draws of {PARTS} rectangular parts over as many normal numbers"
    row("P11b", what, ms(drawn.product), ms(drawn.floor), f"{drawn.ratio:.2f}", "1.6")


def _part(name: str) -> Any:
    from logbook.core.tolerance.parts import Part

    return Part(name, 10.0, 9.9, 10.1)


def _plain_loop(names: list[str], text: str, parts: list[Any]) -> Any:
    """Return a loop over all corners that evaluates the formula compiled as Python."""
    evaluate = eval(f"lambda {', '.join(names)}: {text}")

    def loop() -> tuple[float, float]:
        lowest, highest = np.inf, -np.inf
        for corner in combinations(*[part.band for part in parts]):
            value = evaluate(*corner)
            lowest, highest = min(lowest, value), max(highest, value)
        return lowest, highest

    return loop
