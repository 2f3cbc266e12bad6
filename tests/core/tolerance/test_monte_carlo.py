from typing import Any

import numpy as np
import pytest

from logbook.core.errors import ToleranceError
from logbook.core.formulas import parse_formula
from logbook.core.tolerance import Part, simulate
from tests.core.tolerance.golden import agrees, cases, entry, parts_of

MANY = 1_000_000


@pytest.mark.parametrize("case", cases("mc_quant"))
def test_its_ends_are_the_published_quantiles(case: dict[str, Any]) -> None:
    formula, parts = parse_formula(case["inputs"]["expr"]), parts_of(case)
    wide = simulate(formula, parts, samples=MANY, coverage=0.99)
    usual = simulate(formula, parts, samples=MANY)
    found = {"p2_5": usual.low, "p97_5": usual.high, "p0_5": wide.low, "p99_5": wide.high}
    assert agrees(case, found)


def test_its_moments_are_the_exact_ones() -> None:
    case = entry("B-11")
    found = simulate(parse_formula(case["inputs"]["expr"]), parts_of(case), samples=MANY)
    # Four standard errors of a mean of 10^6 draws; the standard deviation to 0.2 %.
    assert found.mean == pytest.approx(case["expected"]["mean"], abs=4 * case["expected"]["sd"] / 1e3)
    assert found.standard_deviation == pytest.approx(case["expected"]["sd"], rel=2e-3)


def test_the_exact_moments_are_those_of_numeric_integration() -> None:
    case = entry("B-11")
    nodes, weights = np.polynomial.legendre.leggauss(12)
    parts = parts_of(case)
    grid = np.meshgrid(*[p.nominal + p.half_width * nodes for p in parts], indexing="ij")
    weight = np.prod(np.meshgrid(*[weights / 2] * len(parts), indexing="ij"), axis=0)
    values = np.asarray(
        parse_formula(case["inputs"]["expr"]).evaluate({p.name: g for p, g in zip(parts, grid, strict=True)})
    )
    mean = float((weight * values).sum())
    deviation = float(np.sqrt((weight * (values - mean) ** 2).sum()))
    assert agrees(case, {"mean": mean, "sd": deviation})


def test_the_same_seed_gives_the_same_numbers() -> None:
    formula, parts = parse_formula("a*b"), [Part("a", 1, 0, 2), Part("b", 1, 0, 2)]
    runs = [simulate(formula, parts, samples=20_000, seed=seed) for seed in (7, 7, 8)]
    assert runs[0] == runs[1]
    assert runs[0].mean != runs[2].mean


@pytest.mark.parametrize(
    "options",
    [
        {"samples": 999},
        {"samples": 10**8},
        {"samples": True},
        {"samples": 2000.0},
        {"seed": -1},
        {"coverage": 1.0},
    ],
    ids=str,
)
def test_it_refuses_impossible_orders(options: dict[str, Any]) -> None:
    with pytest.raises(ToleranceError):
        simulate(parse_formula("a"), [Part("a", 1, 0, 2)], **options)
