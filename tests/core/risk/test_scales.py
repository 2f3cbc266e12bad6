"""The matrix and its bands against the standards they come from."""

from __future__ import annotations

import itertools
import math
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import RiskError
from logbook.core.risk import (
    FUNCTION_BANDS,
    HARM_BANDS,
    HOURS_SAVED,
    RISK_MATRIX,
    Harm,
    Level,
    ProbabilityBands,
    Severity,
    level_of,
    worse_level,
)
from tests.core.samples.golden import entries

GOLDEN = entries("risk")


def test_the_matrix_is_that_of_the_standard() -> None:
    assert {row: list(levels) for row, levels in RISK_MATRIX.items()} == GOLDEN["H-03"]["expected"]


def test_the_older_assessment_values_and_bands_give_the_same_matrix() -> None:
    # MIL-STD-882D (2000), Table A-IV: 1 to 5 High, 6 to 9 Serious, 10 to 17 Medium, 18 to 20 Low.
    tops = [(5, Level.HIGH), (9, Level.SERIOUS), (17, Level.MEDIUM), (20, Level.LOW)]
    for row, values in GOLDEN["H-04"]["expected"].items():
        levels = tuple(next(level for top, level in tops if value <= top) for value in values)
        assert RISK_MATRIX[row] == levels


def test_the_harm_bands_are_those_of_the_standard() -> None:
    expected = GOLDEN["H-05"]["expected"]
    assert [HARM_BANDS.a, HARM_BANDS.b, HARM_BANDS.c, HARM_BANDS.d] == [expected[row] for row in "ABCD"]


@pytest.mark.parametrize("bands", [HARM_BANDS, FUNCTION_BANDS], ids=["harm", "function"])
def test_a_probability_on_a_bound_belongs_to_the_higher_row(bands: ProbabilityBands) -> None:
    for row, below, bound in zip("ABCD", "BCDE", (bands.a, bands.b, bands.c, bands.d), strict=True):
        assert bands.row(bound) == row
        assert bands.row(math.nextafter(bound, 0)) == below


def test_the_ends_are_frequent_and_improbable_but_never_eliminated() -> None:
    assert (FUNCTION_BANDS.row(1.0), FUNCTION_BANDS.row(0.0)) == ("A", "E")


@given(st.floats(0, 1), st.floats(0, 1), st.integers(1, 4), st.integers(1, 4))
def test_a_likelier_or_worse_failure_never_has_a_lower_level(p: float, q: float, a: int, b: int) -> None:
    worst = level_of(max(p, q), min(a, b), FUNCTION_BANDS)
    assert worst.rank <= level_of(min(p, q), max(a, b), FUNCTION_BANDS).rank


def test_severities_and_harms_name_their_columns() -> None:
    assert [severity.column for severity in Severity] == [1, 2, 3, 4, 4]
    assert [harm.column for harm in Harm] == [1, 2, 3, 4]


def test_hours_saved_fall_with_the_severity() -> None:
    assert [HOURS_SAVED[severity] for severity in Severity] == [80, 40, 8, 2, 0.5]


@pytest.mark.parametrize(("first", "second"), [*itertools.product(Level, [*Level, None])])
def test_the_worse_of_two_levels_stands(first: Level, second: Level | None) -> None:
    order = list(Level)
    assert worse_level(first, second) == min(first, second or first, key=order.index)


@pytest.mark.parametrize("probability", [-0.1, 1.1, float("nan")])
def test_it_refuses_what_is_no_probability(probability: float) -> None:
    with pytest.raises(RiskError, match="no probability"):
        level_of(probability, 1, FUNCTION_BANDS)


@pytest.mark.parametrize("column", [0, 5])
def test_it_refuses_a_column_outside_the_matrix(column: int) -> None:
    with pytest.raises(RiskError, match="No column"):
        level_of(0.5, column, FUNCTION_BANDS)


@pytest.mark.parametrize("bounds", [(0.1, 0.5, 0.02, 0.001), (0.5, 0.1, 0.1, 0.01), (1.0, 0.5, 0.1, 0.01)])
def test_it_refuses_bands_that_do_not_descend(bounds: tuple[float, float, float, float]) -> None:
    with pytest.raises(RiskError, match="four bounds descending"):
        ProbabilityBands(*bounds)


def test_products_of_ratings_rank_too_coarsely_to_be_used() -> None:
    """Why there is no priority number here: 1000 combinations fall on 120 values, 24 on one of them."""
    products = Counter(s * o * d for s, o, d in itertools.product(range(1, 11), repeat=3))
    expected = GOLDEN["H-02"]["expected"]
    assert (len(products), products[120]) == (expected["distinct"], expected["count120"])
    worked = GOLDEN["H-01"]
    assert {"min": min(products), "max": max(products), "rpn": 8 * 4 * 6} == worked["expected"]
