"""Where a probability comes from, rule by rule, and the promise that a wide pass never raises it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.core.errors import RiskError
from logbook.core.risk import BaseRate, base_probability, probability_of_failure
from logbook.core.state import CellEvidence, TargetFacts, states_of_targets
from tests.core.state.cells import number, seen, state_of, target, uncounted

NOTHING_KNOWN = BaseRate()
# (1 + 0) / (4 + 46) and (1 + 30) / (4 + 30): a good and a bad record.
BASES = st.sampled_from([NOTHING_KNOWN, BaseRate(0, 46), BaseRate(3, 8), BaseRate(30, 30)])


def chance(facts: TargetFacts, *cells: CellEvidence, base: BaseRate = NOTHING_KNOWN) -> float:
    return probability_of_failure(state_of(facts, *cells), facts, base).value


def basis(facts: TargetFacts, *cells: CellEvidence, base: BaseRate = NOTHING_KNOWN) -> str:
    return probability_of_failure(state_of(facts, *cells), facts, base).basis


@pytest.mark.parametrize(
    ("failures", "trials", "p"), [(0, 0, 0.25), (0, 4, 0.125), (3, 8, 1 / 3), (5, 5, 2 / 3)]
)
def test_the_base_rate_is_one_in_four_until_trials_say_otherwise(
    failures: int, trials: int, p: float
) -> None:
    assert base_probability(failures, trials) == pytest.approx(p)


@pytest.mark.parametrize(("failures", "trials"), [(-1, 3), (4, 3)])
def test_it_refuses_an_impossible_base_rate(failures: int, trials: int) -> None:
    with pytest.raises(RiskError, match="are impossible"):
        base_probability(failures, trials)


@pytest.mark.parametrize(
    "cells",
    [[], [seen("A", "seen working")], [seen("A", "inconclusive")], [uncounted("A")]],
    ids=["never tried", "seen working", "inconclusive", "stale"],
)
def test_without_a_verdict_the_base_rate_holds(cells: list[CellEvidence]) -> None:
    assert chance(target(), *cells, base=BaseRate(1, 6)) == pytest.approx(0.2)
    assert basis(target(), *cells, base=BaseRate(1, 6)).startswith("base rate (1 + 1) / (4 + 6): 1 of 6")


def test_a_blocked_target_has_the_base_rate() -> None:
    facts = target("M1", prerequisites=("R",))
    states = states_of_targets([target("R"), facts], {})
    assert probability_of_failure(states["M1"], facts, NOTHING_KNOWN).value == 0.25


def test_a_number_gives_the_predictive_probability() -> None:
    # Stated value of the model for one board at 3.317 V between 3.234 V and 3.366 V.
    assert chance(target(), number("0006", 3.317)) == pytest.approx(0.1207, abs=6e-5)
    assert basis(target(), number("0006", 3.317)) == (
        "next board out of limits, predicted from 1 board, assumed spread 0.0165 V"
    )


@pytest.mark.parametrize(
    ("value", "capped"), [(3.344, True), (3.256, True), (3.3441, False), (3.2559, False)]
)
def test_a_third_of_the_half_width_in_hand_caps_it_at_the_base_rate(value: float, capped: bool) -> None:
    good_record = BaseRate(0, 46)
    found = chance(target(), number("A", value), base=good_record)
    assert (found == pytest.approx(0.02)) == capped


@pytest.mark.parametrize(("value", "capped"), [(34.0e-6, True), (34.1e-6, False)])
def test_with_one_limit_three_spreads_in_hand_cap_it(value: float, capped: bool) -> None:
    # 5 % of the limit is the assumed spread, so three of them are 6 µV.
    facts = target(low=None, high=40e-6)
    found = chance(facts, number("A", value), base=BaseRate(0, 996))
    assert (found == pytest.approx(0.001)) == capped


def test_one_reading_without_that_margin_lifts_the_cap() -> None:
    cells = [number("A", 3.300), number("B", 3.360)]
    assert chance(target(), *cells, base=BaseRate(0, 46)) > 0.02


@pytest.mark.parametrize("verdict", ["conditional pass", "fail"])
def test_a_reading_that_is_no_plain_pass_lifts_the_cap(verdict: str) -> None:
    assert chance(target(), number("A", 3.300, verdict), base=BaseRate(0, 46)) > 0.02


@pytest.mark.parametrize(
    ("failing", "boards", "p"), [(0, 1, 0.125), (0, 4, 0.05), (1, 2, 1.25 / 3), (2, 2, 0.75)]
)
@pytest.mark.parametrize("outcome", ["yes_no", "count"])
def test_yes_no_and_count_follow_the_boards_that_fail(
    outcome: str, failing: int, boards: int, p: float
) -> None:
    cells = [seen(f"{i}", outcome, "fail" if i < failing else "pass") for i in range(boards)]
    assert chance(target(), *cells) == pytest.approx(p)
    assert basis(target(), *cells).startswith(f"{failing} of {boards} board")


def test_failing_numbers_are_at_least_as_likely_to_fail_as_failing_checks() -> None:
    facts = target(low=None, high=100.0, nominal=0.0)
    cells = [number("A", 100.1, "conditional fail"), *(number(b, 0.0) for b in "BCDEFGH")]
    checks = [seen("A", "yes_no", "fail"), *(seen(b, "yes_no", "pass") for b in "BCDEFGH")]
    assert chance(facts, *cells) >= chance(facts, *checks)
    high = target()
    assert chance(high, number("A", 3.181, "fail")) > chance(high, seen("A", "yes_no", "fail"))


def test_where_no_predictive_probability_exists_numbers_count_as_checks() -> None:
    facts = target(low=None, high=0.0)
    assert chance(facts, number("A", 0.0), number("B", 0.0)) == pytest.approx(0.25 / 3)


def test_the_worst_point_stands_and_one_never_read_has_the_base_rate() -> None:
    facts = target(points=("CH1", "CH2"))
    calm = [number(board, 3.300, point="CH1") for board in "ABC"]
    assert chance(facts, *calm) == 0.25
    assert basis(facts, *calm).startswith("CH2: not read; base rate")
    read = [number(board, 3.317, point="CH2") for board in "ABC"]
    assert chance(facts, *calm, *read) == chance(target(), *(number(board, 3.317) for board in "ABC"))


def test_boards_that_fail_at_different_points_count_together() -> None:
    facts = target(points=("CH1", "CH2"))
    cells = [
        seen("A", "yes_no", "fail", "CH1"),
        seen("A", "yes_no", "pass", "CH2"),
        seen("B", "yes_no", "pass", "CH1"),
        seen("B", "yes_no", "fail", "CH2"),
    ]
    assert chance(facts, *cells) == pytest.approx(0.75)


def comfortable(board: str, share: float, u: float | None, point: str = "") -> CellEvidence:
    """A plain pass with at least a third of the half-width in hand."""
    return number(board, 3.300 + share * 0.044, standard_uncertainty=u, point=point)


uncertainties = st.sampled_from([None, 0.0005, 0.004])
shares = st.floats(-1, 1)
other_readings = st.one_of(
    st.tuples(st.just("number"), st.floats(3.345, 3.366), st.sampled_from(["pass", "conditional pass"])),
    st.tuples(st.just("number"), st.floats(3.367, 3.45), st.sampled_from(["conditional fail", "fail"])),
    st.tuples(st.sampled_from(["yes_no", "count"]), st.just(0.0), st.sampled_from(["pass", "fail"])),
    st.tuples(st.just("not working"), st.just(0.0), st.none()),
)


def other(board: str, kind: tuple[Any, float, str | None]) -> CellEvidence:
    outcome, value, verdict = kind
    if outcome == "number":
        return number(board, value, verdict or "")
    return seen(board, outcome, verdict)


@settings(max_examples=300)
@given(
    st.lists(st.tuples(shares, uncertainties), max_size=6),
    st.lists(other_readings, max_size=3),
    st.tuples(shares, uncertainties),
    BASES,
)
def test_one_more_wide_pass_never_raises_the_probability(
    wide: list[tuple[float, float | None]],
    others: list[tuple[Any, float, str | None]],
    added: tuple[float, float | None],
    base: BaseRate,
) -> None:
    cells = [comfortable(f"W{i}", *one) for i, one in enumerate(wide)]
    cells += [other(f"X{i}", kind) for i, kind in enumerate(others)]
    before = chance(target(), *cells, base=base)
    after = chance(target(), *cells, comfortable("N", *added), base=base)
    assert after <= before * (1 + 1e-9)


@given(
    st.lists(st.tuples(st.integers(0, 4), st.sampled_from(["CH1", "CH2"])), unique=True, max_size=8),
    st.lists(shares, min_size=9, max_size=9),
    st.sampled_from(["CH1", "CH2"]),
    BASES,
)
def test_the_same_holds_for_every_point(
    places: list[tuple[int, str]], values: list[float], point: str, base: BaseRate
) -> None:
    facts = target(points=("CH1", "CH2"), boards_needed=9)
    cells = [
        comfortable(f"{board}", share, None, name)
        for (board, name), share in zip(places, values, strict=False)
    ]
    before = chance(facts, *cells, base=base)
    after = chance(facts, *cells, comfortable("N", values[-1], None, point), base=base)
    assert after <= before * (1 + 1e-9)


@given(st.integers(0, 6), st.integers(0, 6), BASES)
def test_one_more_passing_check_never_raises_it_either(failing: int, passing: int, base: BaseRate) -> None:
    cells = [seen(f"F{i}", "yes_no", "fail") for i in range(failing)]
    cells += [seen(f"P{i}", "yes_no", "pass") for i in range(passing)]
    before = chance(target(), *cells, base=base)
    assert chance(target(), *cells, seen("N", "yes_no", "pass"), base=base) <= before


def test_a_plain_minimum_would_break_the_promise() -> None:
    """Two wide passes far apart predict worse than either alone, which is why the least is taken."""
    facts = target()
    pair = state_of(facts, comfortable("A", -1, None), comfortable("B", 1, None))
    alone = state_of(facts, comfortable("A", -1, None))
    assert (pair.probability_out or 0) > (alone.probability_out or 0)
    assert chance(facts, comfortable("A", -1, None), comfortable("B", 1, None)) == pytest.approx(
        alone.probability_out
    )
