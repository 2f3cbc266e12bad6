from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.core.errors import UncertaintyError
from logbook.core.verdict import NO_VERDICT, VERDICT_OF_CODE, Verdict, judge_many, judge_number

from .golden import ENTRIES, limits_v


def one_by_one(low, high, x, u, k, floor=np.nan, rule="guarded"):
    def number(value):
        return None if np.isnan(value) else Decimal(float(value))

    return judge_number(
        limits_v(number(low), number(high)),
        number(x),
        expanded_uncertainty=number(u),
        coverage_factor=number(k),
        rule=rule,
        floor=number(floor),
    )


def assert_equal(judged, row, single):
    probability = np.nan if single.conformance_probability is None else single.conformance_probability
    assert judged.probability[row] == pytest.approx(probability, rel=1e-12, abs=1e-300, nan_ok=True)
    assert judged.margin[row] == pytest.approx(float(single.margin), rel=1e-12, abs=0)
    if not judged.needs_exact[row]:
        assert VERDICT_OF_CODE[judged.verdict_code[row]] == single.verdict
        assert judged.undecidable[row] != single.decidable


def random_rows(n, seed):
    rng = np.random.default_rng(seed)
    low = rng.normal(0, 5, n)
    high = low + rng.gamma(1.5, 1.0, n)
    x = rng.uniform(low - 2, high + 2)
    u = rng.gamma(1.0, 0.3, n)
    k = rng.choice([2.0, 1.96, 3.3], n)
    low[rng.random(n) < 0.2] = np.nan
    high[(rng.random(n) < 0.2) & ~np.isnan(low)] = np.nan
    u[rng.random(n) < 0.1] = np.nan
    k[np.isnan(u)] = np.nan
    u[rng.random(n) < 0.1] = 0.0
    k[u == 0.0] = 2.0
    floor = np.where(rng.random(n) < 0.3, low - 0.1, np.nan)
    return low, high, x, u, k, floor


@pytest.mark.parametrize("rule", ["guarded", "simple"])
def test_it_judges_like_one_at_a_time(rule):
    *columns, floor = random_rows(3000, seed=21)
    judged = judge_many(*columns, floor=floor, guarded=rule == "guarded")
    for row, values in enumerate(zip(*columns, floor, strict=True)):
        assert_equal(judged, row, one_by_one(*values, rule=rule))
    assert judged.needs_exact.sum() < 30


decimals = st.decimals(min_value=-50, max_value=50, places=3)


@settings(max_examples=300)
@given(decimals, st.integers(0, 5000), st.sampled_from([-1, 0, 1]), st.integers(0, 3000), st.booleans())
def test_it_owns_up_to_readings_on_a_border(low, width, side, u, at_limit):
    high, w = low + Decimal(width).scaleb(-3), Decimal(u).scaleb(-3)
    x = high + side * w if at_limit else low + side * w
    exact = judge_number(limits_v(low, high), x, expanded_uncertainty=w)
    judged = judge_many(float(low), float(high), float(x), float(w), 2.0)
    if not judged.needs_exact[0]:
        assert VERDICT_OF_CODE[judged.verdict_code[0]] == exact.verdict
        assert judged.undecidable[0] != exact.decidable


@pytest.mark.parametrize("key", ["D-14", "D-15", "D-16"])
def test_it_gives_the_published_verdicts_or_asks_for_decimals(key):
    given_ = ENTRIES[key]["inputs"]
    low, high = (np.nan if given_[side] is None else given_[side] for side in ("TL", "TU"))
    judged = judge_many(low, high, given_["y"], given_["w"], 2.0)
    sure = ~judged.needs_exact
    found = [VERDICT_OF_CODE[code] for code in judged.verdict_code]
    assert np.array(found)[sure].tolist() == np.array(ENTRIES[key]["expected"])[sure].tolist()
    borders = {low, high, *(b + s * given_["w"] for b in (low, high) for s in (-1, 1))}
    assert sure.tolist() == [not np.isclose(y, list(borders), rtol=1e-12).any() for y in given_["y"]]


def test_it_keeps_probabilities_of_the_far_tail():
    x = np.linspace(0.0, 37.0, 75)
    judged = judge_many(np.nan, 0.0, x, 2.0, 2.0)
    for row, value in enumerate(x):
        assert_equal(judged, row, one_by_one(np.nan, 0.0, value, 2.0, 2.0))
    assert 0.0 < judged.probability[-1] < 1e-290


def test_it_gives_no_verdict_without_a_limit():
    judged = judge_many(np.nan, [np.nan, 1.0], 0.5, 0.1, 2.0)
    assert judged.verdict_code.tolist() == [NO_VERDICT, VERDICT_OF_CODE.index(Verdict.PASS)]
    assert np.isnan(judged.probability).tolist() == [True, False]
    assert not judged.needs_exact.any()


@pytest.mark.parametrize("n", [0, 1, 8191, 8192, 8193, 20_000])
def test_it_takes_any_number_of_rows(n):
    x = np.linspace(3.0, 3.6, n)
    judged = judge_many(3.135, 3.465, x, 0.016, 2.0)
    assert judged.margin.tolist() == np.minimum(3.465 - x, x - 3.135).tolist()
    assert {column.shape for column in (judged.verdict_code, judged.probability, judged.undecidable)} == {
        (n,)
    }


@pytest.mark.parametrize(
    ("columns", "where"),
    [
        pytest.param((0.0, 1.0, [0.5, np.nan], 0.1, 2.0), "x", id="no reading"),
        pytest.param((0.0, 1.0, 0.5, -0.1, 2.0), "u_expanded", id="negative U"),
        pytest.param((0.0, 1.0, 0.5, np.inf, 2.0), "u_expanded", id="infinite U"),
        pytest.param((0.0, 1.0, 0.5, 0.1, 0.0), "coverage_factor", id="k = 0"),
    ],
)
def test_it_names_the_column_that_is_wrong(columns, where):
    with pytest.raises(UncertaintyError) as caught:
        judge_many(*columns)
    assert caught.value.where == where
