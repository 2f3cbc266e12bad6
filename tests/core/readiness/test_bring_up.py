"""The bring-up plan: what is in it, and in which order it can be done."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from logbook.core.readiness import Cause, PlanTarget, bring_up_stages
from logbook.core.state import State

SUBSYSTEMS = ["PIN", "RLD", "MCU"]


def target(key: str, state: State = State.NEVER_TRIED, **given_: Any) -> PlanTarget:
    row = {
        "subsystem": "RLD", "needs": (), "minutes": 5, "waiting_minutes": 0, "needs_power": True,
        "stresses_board": False, "always": False,
    }  # fmt: skip
    return PlanTarget(key=key, state=state, **(row | given_))


def names(*targets: PlanTarget) -> list[tuple[str, list[str]]]:
    stages = bring_up_stages(targets, SUBSYSTEMS)
    return [(stage.name, [step.target.key for step in stage.steps]) for stage in stages]


def test_unpowered_first_then_what_feeds_the_rest_and_stress_last() -> None:
    """Common practice: ohms before volts, supplies before loads, reverse polarity when all else is read."""
    found = names(
        target("MCU-1", subsystem="MCU", needs=("RLD-2",)),
        target("PIN-2", subsystem="PIN", stresses_board=True),
        target("RLD-2", needs=("PIN-1",)),
        target("PIN-1", subsystem="PIN"),
        target("MEC-1", subsystem="MCU", needs_power=False),
    )
    assert found == [
        ("before power", ["MEC-1"]),
        ("PIN", ["PIN-1"]),
        ("RLD", ["RLD-2"]),
        ("MCU", ["MCU-1"]),
        ("what may hurt the board", ["PIN-2"]),
    ]


def test_what_is_proven_stays_out_unless_something_needs_it() -> None:
    done = target("RLD-2", State.CARRIED_OVER)
    assert names(done) == []
    assert names(done, target("RLD-4", needs=("RLD-2",))) == [("RLD", ["RLD-2", "RLD-4"])]


def test_what_is_always_read_again_is_in_whatever_its_state() -> None:
    (stage,) = bring_up_stages([target("RLD-2", State.VERIFIED, always=True)], SUBSYSTEMS)
    assert stage.steps[0].cause is Cause.ALWAYS


def test_a_step_says_for_whom_it_is_there() -> None:
    (stage,) = bring_up_stages(
        [target("RLD-2", State.VERIFIED), target("RLD-4", needs=("RLD-2",))], SUBSYSTEMS
    )
    assert (stage.steps[0].cause, stage.steps[0].needed_by) == (Cause.NEEDED, ("RLD-4",))


def test_not_applicable_and_waived_stay_out() -> None:
    assert names(target("RLD-2", State.NOT_APPLICABLE), target("RLD-3", State.WAIVED)) == []


def test_minutes_are_added_up() -> None:
    (stage,) = bring_up_stages(
        [target("RLD-2", minutes=5), target("RLD-3", minutes=10, waiting_minutes=480)], SUBSYSTEMS
    )
    assert (stage.minutes, stage.waiting_minutes) == (15, 480)


def test_what_needs_a_powered_check_is_not_before_power() -> None:
    found = names(target("PIN-1", subsystem="PIN"), target("MEC-9", needs=("PIN-1",), needs_power=False))
    assert found == [("PIN", ["PIN-1"]), ("RLD", ["MEC-9"])]


@given(st.lists(st.tuples(st.sampled_from(SUBSYSTEMS), st.booleans(), st.booleans()), max_size=12), st.data())
def test_each_step_stands_after_all_it_needs(
    shapes: list[tuple[str, bool, bool]], data: st.DataObject
) -> None:
    targets = []
    for number, (subsystem, powered, stresses) in enumerate(shapes):
        needs = data.draw(st.sets(st.integers(0, number - 1))) if number else set()
        targets.append(
            target(
                str(number), subsystem=subsystem, needs=tuple(str(one) for one in sorted(needs)),
                needs_power=powered, stresses_board=stresses,
            )
        )  # fmt: skip
    stages = bring_up_stages(targets, SUBSYSTEMS)
    seen: set[str] = set()
    for stage in stages:
        for step in stage.steps:
            assert set(step.target.needs) <= seen
            seen.add(step.target.key)
    assert len(seen) == len(targets)
    assert all(one.name != other.name for one, other in pairwise(stages))
