import math

import pytest

from logbook.core.formulas import parse_formula
from logbook.core.tolerance import Part, stack_up
from logbook.core.tolerance.linearity import MOST_OFF


def misfit(text: str, *parts: Part) -> float:
    return stack_up(parse_formula(text), parts, samples=1_000).misfit


@pytest.mark.parametrize(
    ("text", "parts", "expected"),
    [
        # By hand: the straight line of 1/x at 1 ends at 1 ± 0.5, the truth at 2/3 and 2.
        ("1/x", [Part("x", 1, 0.5, 1.5)], 1.0),
        # x(1 − x) is flat at a half.
        ("x*(1 - x)", [Part("x", 0.5, 0.2, 0.9)], math.inf),
        # Exact for a straight line, also with unequal tolerances.
        ("3*x - 2*y", [Part("x", 1, 0.9, 1.5), Part("y", 2, 1.9, 2.3)], 0.0),
        # 1/0.8 = 1.25 against 1.2.
        ("1/c", [Part("c", 1, 0.8, 1.2)], 0.25),
        ("abs(x)", [Part("x", 0, -1, 1)], math.inf),
    ],
    ids=["curved", "flat", "straight", "capacitor", "corner"],
)
def test_it_is_how_far_the_straight_line_misses(text: str, parts: list[Part], expected: float) -> None:
    assert misfit(text, *parts) == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize(
    ("text", "parts", "words"),
    [
        ("x*(1 - x)", [Part("x", 0.5, 0.2, 0.9)], "no slope at the nominal values"),
        ("1/x", [Part("x", 1, 0.5, 1.5)], "misses an extreme by 100 % of its own half-width (at most 30 %"),
        ("1/c", [Part("c", 1, 0.8, 1.2)], ""),
    ],
    ids=["flat", "curved", "capacitor"],
)
def test_it_says_why_the_root_sum_of_squares_is_not_usable(text: str, parts: list[Part], words: str) -> None:
    problem = stack_up(text, parts, samples=1_000).linear_problem
    assert (words in problem) if words else problem == ""


def test_what_is_called_usable_covers_the_simulation_about_as_well_as_it_claims() -> None:
    # Independent route: where the line is near enough, the simulated 95 % band of two equal rectangular parts
    # (triangular sum) stays within 1.1 root sums of squares; 0.776 × 2 / √2 = 1.098 by its distribution.
    parts = [Part("a", 1, 0.95, 1.05), Part("b", 1, 0.95, 1.05)]
    found = stack_up("a/b", parts, samples=100_000)
    half = found.root_sum_square.high - found.nominal
    assert found.misfit < MOST_OFF
    assert (found.monte_carlo.high - found.monte_carlo.low) / 2 == pytest.approx(1.098 * half, rel=0.02)
