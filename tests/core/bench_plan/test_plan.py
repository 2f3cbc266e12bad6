"""The best bench hour: against every choice tried, and at its borders."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.core.bench_plan import BenchPlan, Check, CheckKey, Need, best_bench_hour
from logbook.core.errors import BenchPlanError, GraphError
from tests.core.bench_plan.exhaustive import best_of_all, is_allowed


def check(target: str, minutes: int = 10, hours: float = 8.0, board: str = "0006", **given: object) -> Check:
    values = {"point": "", "probability": 0.25} | given
    return Check(target=target, board=board, minutes=minutes, hours=hours, **values)  # type: ignore[arg-type]


def targets(plan: BenchPlan) -> list[str]:
    return [one.check.target for one in plan.checks]


def why_not(plan: BenchPlan, target: str) -> str:
    return next(one.reason for one in plan.left_out if one.target == target)


@st.composite
def worlds(draw: st.DrawFn) -> list[Check]:
    """Return up to ten checks of four targets on two boards; probabilities and hours add up exactly."""
    words = st.sampled_from(["", "", "pass", "conditional pass", "fail"])
    points = {number: draw(st.sampled_from([("",), ("CH1", "CH2")])) for number in range(4)}
    direct = {n: draw(st.sets(st.integers(0, n - 1), max_size=2)) if n else set() for n in points}
    shared = {n: (draw(st.integers(0, 3)) * 5, draw(st.sampled_from([0.5, 2.0, 8.0]))) for n in points}
    stresses = draw(st.sets(st.integers(0, 3), max_size=1))
    lonely = draw(st.booleans())
    checks = []
    for board in ("0003", "0006"):
        found = {(n, point): draw(words) for n, names in points.items() for point in names}
        for (n, point), word in found.items():
            if word:
                continue
            needs = [Need(f"T{m}", name, found[m, name]) for m in sorted(direct[n]) for name in points[m]]
            minutes, hours = shared[n]
            checks.append(
                check(
                    f"T{n}", minutes, hours, board, point=point, needs=tuple(needs),
                    probability=draw(st.sampled_from([0.0, 0.25, 0.5])),
                    stresses_board=n in stresses, on_reference=board == "0003",
                    on_only_board=lonely,
                )
            )  # fmt: skip
    return draw(st.permutations(checks))[:10]


@settings(max_examples=120, deadline=None)
@given(checks=worlds(), minutes=st.integers(0, 8).map(lambda five: 5 * five))
def test_it_is_the_best_of_every_choice_there_is(checks: list[Check], minutes: int) -> None:
    plan = best_bench_hour(checks, minutes)
    chosen = [one.check for one in plan.checks]
    keys = sorted(one.key for one in chosen if one.buys > 0)
    assert is_allowed(chosen, minutes)
    assert (plan.buys, plan.minutes, keys) == best_of_all(checks, minutes)


@settings(max_examples=60, deadline=None)
@given(checks=worlds(), minutes=st.integers(0, 40))
def test_the_order_given_changes_nothing(checks: list[Check], minutes: int) -> None:
    assert best_bench_hour(checks, minutes) == best_bench_hour(sorted(checks, key=lambda c: c.key), minutes)


@settings(max_examples=60, deadline=None)
@given(checks=worlds(), minutes=st.integers(0, 40))
def test_everything_that_buys_is_planned_or_left_out_with_a_reason(checks: list[Check], minutes: int) -> None:
    plan = best_bench_hour(checks, minutes)
    planned = {(one.check.target, one.check.point) for one in plan.checks}
    told = {(one.target, one.point) for one in plan.left_out if one.reason}
    assert {(one.target, one.point) for one in checks if one.buys > 0} <= planned | told


def test_two_small_ones_beat_a_larger_one_that_buys_most_a_minute() -> None:
    """Taking the best rate first would take A (0.25 h a minute) and leave 5 minutes idle."""
    checks = [check("A", 10, 10.0), check("B", 8, 7.0), check("C", 7, 6.0)]
    plan = best_bench_hour(checks, 15)
    assert (targets(plan), plan.minutes) == (["B", "C"], 15)
    assert plan.buys == pytest.approx(0.25 * 13)


def test_no_minutes_buy_nothing() -> None:
    plan = best_bench_hour([check("A")], 0)
    assert (plan.checks, plan.minutes, plan.buys) == ((), 0, 0.0)
    assert why_not(plan, "A") == "takes 10 min, and there are 0"


def test_what_takes_no_minutes_is_done_in_none() -> None:
    assert targets(best_bench_hour([check("A", 0)], 0)) == ["A"]


def test_nothing_to_do_is_an_empty_plan() -> None:
    assert best_bench_hour([], 60) == BenchPlan(0, 0, (), ())


def test_the_last_minute_may_be_used() -> None:
    assert targets(best_bench_hour([check("A", 60)], 60)) == ["A"]
    assert targets(best_bench_hour([check("A", 60)], 59)) == []


@pytest.mark.parametrize(
    ("found", "planned"),
    [("pass", True), ("conditional pass", True), ("", False), ("conditional fail", False), ("fail", False)],
)
def test_a_prerequisite_must_pass_on_that_board(found: str, planned: bool) -> None:
    plan = best_bench_hour([check("MEM-5", needs=(Need("MEM-4", "", found),))], 60)
    assert (targets(plan) == ["MEM-5"]) == planned


def test_a_failing_prerequisite_is_named_through_the_chain() -> None:
    checks = [
        check("B", needs=(Need("A", "", "fail"),)),
        check("C", needs=(Need("B"),)),
        check("D", needs=(Need("C"),)),
    ]
    plan = best_bench_hour(checks, 60)
    assert targets(plan) == []
    assert why_not(plan, "B") == "A fails on board 0006"
    assert why_not(plan, "D") == "B comes first: A fails on board 0006"


def test_every_point_of_a_prerequisite_is_planned_or_passes() -> None:
    needs = (Need("A", "CH1", "pass"), Need("A", "CH2"), Need("A", "CH3"))
    around = [check("A", 5, point="CH2"), check("A", 5, point="CH3")]
    plan = best_bench_hour([*around, check("B", needs=needs, hours=80.0)], 60)
    assert [one.check.key for one in plan.checks] == [
        CheckKey("A", "CH2", "0006"),
        CheckKey("A", "CH3", "0006"),
        CheckKey("B", "", "0006"),
    ]
    assert targets(best_bench_hour([around[0], check("B", needs=needs)], 60)) == ["A"]


def test_what_buys_nothing_is_done_only_for_what_needs_it() -> None:
    checks = [check("A", 5, probability=0.0), check("B", needs=(Need("A"),))]
    plan = best_bench_hour(checks, 60)
    assert [(one.check.target, one.buys) for one in plan.checks] == [("A", 0.0), ("B", 2.0)]
    assert plan.checks[0].reason == "nothing to gain from it alone; comes before B"
    assert targets(best_bench_hour(checks[:1], 60)) == []
    assert targets(best_bench_hour([check("A", 0, probability=0.0)], 60)) == []


def test_one_board_shows_a_target_and_the_first_of_equals_is_taken() -> None:
    plan = best_bench_hour([check("A", board="0006"), check("A", board="0003")], 60)
    assert [one.check.board for one in plan.checks] == ["0003"]
    assert plan.left_out == ()


def test_of_equal_purchases_the_one_with_fewer_minutes_stands() -> None:
    checks = [check("A", 20, 16.0), check("B", 10, 8.0), check("C", 9, 8.0)]
    assert targets(best_bench_hour(checks, 20)) == ["C", "B"]


def test_of_equals_the_first_key_stands() -> None:
    checks = [check(name, 30) for name in "DBCA"]
    assert targets(best_bench_hour(checks, 60)) == ["A", "B"]


def test_more_equals_than_one_programme_settles_are_taken_by_key() -> None:
    checks = [check(f"T{number:02}") for number in range(40)]
    assert targets(best_bench_hour(checks, 300)) == [f"T{number:02}" for number in range(30)]


def test_sums_that_differ_only_by_binary_rounding_are_equal() -> None:
    """0.1 + 0.2 is a hair more than 0.3 in binary; the shorter work is to win, not the hair."""
    checks = [check("A", 10, 0.1, probability=1.0), check("B", 10, 0.2, probability=1.0)]
    plan = best_bench_hour([*checks, check("C", 15, 0.3, probability=1.0)], 20)
    assert targets(plan) == ["C"]


def test_a_reference_board_is_never_stressed() -> None:
    stress = check("PIN-2", stresses_board=True, on_reference=True)
    plan = best_bench_hour([stress, check("PIN-3", needs=(Need("PIN-2"),))], 60)
    assert targets(plan) == []
    assert why_not(plan, "PIN-2") == "it stresses the board, and 0006 is the reference"
    assert why_not(plan, "PIN-3") == "PIN-2 comes first: it stresses the board, and 0006 is the reference"


def test_the_only_board_is_not_stressed_undecided() -> None:
    stress = check("PIN-2", stresses_board=True, on_only_board=True)
    plan = best_bench_hour([stress, check("RLD-1")], 60)
    assert targets(plan) == ["RLD-1"]
    assert "needs a second board, or the decision to test it first" in why_not(plan, "PIN-2")


def test_the_order_is_unpowered_then_best_rate_then_waits_then_stress() -> None:
    checks = [
        check("STRESS", hours=80.0, stresses_board=True),
        check("SOAK", hours=80.0, waiting_minutes=480),
        check("WARM", hours=80.0, waiting_minutes=20),
        check("LIVE", hours=8.0),
        check("LIVELY", hours=40.0),
        check("OHMS", hours=2.0, needs_power=False),
    ]
    assert targets(best_bench_hour(checks, 60)) == ["OHMS", "LIVELY", "LIVE", "WARM", "SOAK", "STRESS"]


def test_prerequisites_go_before_the_rest_of_the_order() -> None:
    checks = [check("A", hours=80.0, needs=(Need("B"),)), check("B", hours=0.5), check("C", hours=2.0)]
    assert targets(best_bench_hour(checks, 60)) == ["C", "B", "A"]


def test_waiting_takes_no_minutes_of_the_plan() -> None:
    assert best_bench_hour([check("SOAK", 5, waiting_minutes=480)], 5).minutes == 5


def test_it_says_what_a_line_buys() -> None:
    plan = best_bench_hour([check("A", hours=40.0, severity="S2", why="never tried")], 60)
    assert plan.checks[0].reason == "never tried: 0.25 × 40 h (S2) = 10 h"


def test_what_found_no_time_says_how_much_it_takes() -> None:
    plan = best_bench_hour([check("A", 50, 80.0), check("B", 20), check("C", 10, needs=(Need("B"),))], 60)
    assert why_not(plan, "B") == "takes 20 min, 10 are left, and the others buy more"
    assert why_not(plan, "C") == "takes 30 min with what comes first, 10 are left, and the others buy more"


def test_what_found_no_time_is_told_once_and_not_where_another_board_does_it() -> None:
    slow = [check("A", 90, board=board) for board in ("0003", "0006")]
    both = [check("B", needs=(Need("A"),), board="0003"), check("B", board="0006")]
    plan = best_bench_hour([*slow, *both], 60)
    assert [(one.check.target, one.check.board) for one in plan.checks] == [("B", "0006")]
    assert [(one.target, one.board) for one in plan.left_out] == [("A", "0003")]


def test_a_circle_of_prerequisites_is_refused() -> None:
    checks = [check("A", needs=(Need("B"),)), check("B", needs=(Need("A"),))]
    with pytest.raises(GraphError, match="circle"):
        best_bench_hour(checks, 60)


def test_minutes_below_none_are_refused() -> None:
    with pytest.raises(BenchPlanError, match="-1 minutes"):
        best_bench_hour([], -1)


def test_a_check_given_twice_is_refused() -> None:
    with pytest.raises(BenchPlanError, match="A on board 0006 comes twice"):
        best_bench_hour([check("A"), check("A")], 60)


@pytest.mark.parametrize(
    "wrong", [{"minutes": -1}, {"probability": 1.1}, {"hours": -1.0}, {"hours": float("inf")}], ids=str
)
def test_impossible_numbers_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(BenchPlanError, match="A on board 0006"):
        check("A", **wrong)  # type: ignore[arg-type]


def test_a_word_that_is_no_verdict_is_refused() -> None:
    with pytest.raises(BenchPlanError, match="no verdict"):
        Need("A", "", "seen working")


def test_three_hundred_untouched_targets_on_four_boards_take_a_moment() -> None:
    """Not a stop watch: without setting like boards aside this takes many times as long as the whole file."""
    checks = [
        check(f"T{n:03}", 5 + n % 3 * 5, 8.0, board, needs=(Need(f"T{n - 3:03}"),) if n > 2 else ())
        for n in range(300)
        for board in ("0001", "0002", "0003", "0004")
    ]
    plan = best_bench_hour(checks, 60)
    assert plan.minutes <= 60
    assert {one.check.board for one in plan.checks} == {"0001"}
