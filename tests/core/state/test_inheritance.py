"""What is inherited: every mix of facts against the table, and weights along a chain by brute force."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.state import (
    Argument,
    CellEvidence,
    Change,
    Heritage,
    Reworked,
    State,
    StateOfTarget,
    Step,
    TargetFacts,
    states_of_targets,
)
from tests.core.state.cells import number, seen, target, uncounted

NEEDS = {"MEM": ["MCU"], "MCU": ["RLD"], "RLD": ["PIN"], "PIN": [], "MEC": []}
OLD = (number("0003", 3.322),)
NOTHING = (Change("LABEL"),)


def change(key: str, *touched: str, folds_in: str = "") -> Change:
    return Change(key, frozenset(touched), frozenset(folds_in.split(",") if folds_in else ()))


def inherit(
    *steps: Step, facts: TargetFacts | None = None, own: Any = (), argument: Argument | None = None
) -> StateOfTarget:
    facts = facts or target()
    arguments = {facts.key: argument} if argument else {}
    heritage = Heritage(steps, NEEDS, arguments)
    return states_of_targets([facts], {facts.key: own} if own else {}, heritage=heritage)[facts.key]


def step(
    *changes: Change,
    cells: tuple[CellEvidence, ...] = (),
    reworked: tuple[Reworked, ...] = (),
    name: str = "BA",
    key: str = "RLD-2",
) -> Step:
    return Step(name[0], name[1], changes, {key: cells} if cells else {}, {key: reworked} if reworked else {})


@pytest.mark.parametrize(
    ("touched", "state", "weight"),
    [
        ("RLD", State.STALE, 0.0),
        ("MCU", State.STALE, 0.5),
        ("MEM", State.STALE, 0.8),
        ("MEC", State.CARRIED_OVER, 1.0),
    ],
)
def test_the_nearer_the_change_the_less_evidence_is_worth(touched: str, state: State, weight: float) -> None:
    subsystems = {"RLD": "RLD", "MCU": "MCU", "MEM": "MEM", "MEC": "MEC"}
    facts = target(subsystem=subsystems[touched])
    found = inherit(step(change("X", "RLD"), cells=OLD), facts=facts)
    assert found.state == state
    assert found.inherited is not None
    assert found.inherited.weight == weight


def test_a_change_that_touches_nothing_carries_everything_over() -> None:
    found = inherit(step(*NOTHING, cells=OLD))
    assert (found.state, found.reason) == (
        State.CARRIED_OVER,
        "verified on A; no change since comes within two steps of RLD",
    )


def test_it_keeps_the_ancestors_word() -> None:
    found = inherit(step(*NOTHING, cells=OLD), facts=target(boards_needed=2))
    assert found.reason.startswith("partly verified on A, 1 of 2; ")


def test_silence_is_not_evidence() -> None:
    found = inherit(step(cells=OLD))
    assert (found.state, found.reason) == (State.NEVER_TRIED, "tried on A, but B records no changes")
    assert found.inherited is None


def test_silence_further_back_cuts_the_line_too() -> None:
    found = inherit(step(*NOTHING, name="CB"), step(cells=OLD, name="BA"))
    assert found.reason == "tried on A, but B records no changes"


def test_readings_here_count_and_nothing_is_inherited() -> None:
    found = inherit(step(*NOTHING, cells=(number("0003", 3.1, "fail"),)), own=[number("0006", 3.317)])
    assert (found.state, found.inherited) == (State.VERIFIED, None)


def test_a_failure_nobody_touched_is_inherited() -> None:
    failing = (number("0001", 3.181, "fail"),)
    found = inherit(step(change("X", "PIN"), cells=failing))
    assert found.state == State.FAILING
    assert found.reason.startswith("inherited from A: 0001: 3.181 V fail")


def test_a_fix_is_unproven_until_it_is_read() -> None:
    failing = (number("0001", 3.181, "fail"),)
    found = inherit(step(change("F-01", "RLD"), cells=failing))
    assert (found.state, found.reason) == (
        State.STALE,
        "failed on A; F-01 of B touches RLD: fix unproven",
    )


def test_the_nearest_ancestor_with_readings_that_count_speaks() -> None:
    newer, older = (number("0003", 3.322),), (number("0001", 3.181, "fail"),)
    found = inherit(step(*NOTHING, cells=newer, name="CB"), step(*NOTHING, cells=older, name="BA"))
    assert found.inherited is not None
    assert (found.state, found.inherited.revision) == (State.CARRIED_OVER, "B")


def test_readings_that_do_not_count_are_passed_over_for_an_older_one_that_does() -> None:
    found = inherit(step(*NOTHING, cells=(uncounted("0004"),), name="CB"), step(*NOTHING, cells=OLD))
    assert found.inherited is not None
    assert (found.state, found.inherited.revision) == (State.CARRIED_OVER, "A")


def test_only_readings_that_do_not_count_are_stale() -> None:
    found = inherit(step(*NOTHING, cells=(uncounted("0004"),)))
    assert found.state == State.STALE
    assert found.reason.startswith("on A only readings that do not count")


def test_a_rework_folded_in_is_worth_half_of_what_the_other_changes_leave() -> None:
    reworked = Reworked(("RW-05 of 0004",), (number("0004", 3.31),))
    fold = change("F-07", "MCU", folds_in="RW-05 of 0004")
    facts = target(subsystem="MCU")
    failing = (number("0003", 3.1, "fail"),)
    line = step(fold, change("F-09", "RLD"), cells=failing, reworked=(reworked,))
    found = inherit(line, facts=facts)
    assert found.inherited is not None
    assert (found.state, found.inherited.weight) == (State.STALE, 0.25)
    assert "with RW-05 of 0004, since folded in" in found.reason


def test_a_rework_folded_in_stays_stale_without_any_other_change() -> None:
    reworked = Reworked(("RW-05 of 0004",), (number("0004", 3.31),))
    found = inherit(step(change("F-07", "RLD", folds_in="RW-05 of 0004"), reworked=(reworked,)))
    assert found.inherited is not None
    assert (found.state, found.inherited.weight) == (State.STALE, 0.5)


def test_a_rework_nobody_folded_in_proves_nothing() -> None:
    reworked = Reworked(("RW-05 of 0004",), (number("0004", 3.31),))
    found = inherit(step(change("F-07", "RLD"), cells=(uncounted("0004"),), reworked=(reworked,)))
    assert found.reason.startswith("on A only readings that do not count")


WENDY = Argument("wh", "same copper")


@pytest.mark.parametrize(
    ("steps", "state"),
    [
        ([step(change("X", "RLD"), cells=OLD)], State.CARRIED_OVER),
        ([step(cells=OLD)], State.CARRIED_OVER),
        ([step(change("X", "RLD"), cells=(number("1", 3.1, "fail"),))], State.STALE),
        ([step(*NOTHING, cells=(number("1", 3.1, "fail"),))], State.FAILING),
        ([step(*NOTHING, cells=(uncounted("1"),))], State.STALE),
        ([step(*NOTHING)], State.NEVER_TRIED),
    ],
    ids=["stale", "silent", "fix unproven", "failing", "not counted", "never tried"],
)
def test_an_argument_carries_a_word_but_makes_none(steps: list[Step], state: State) -> None:
    found = inherit(*steps, argument=WENDY)
    assert found.state == state
    assert (state == State.CARRIED_OVER) == ("carried over by wh: same copper" in found.reason)


def test_an_argument_says_why_it_no_longer_holds() -> None:
    later = replace(WENDY, day="2024-03-01", changes_since=frozenset({("B", "X")}))
    found = inherit(step(change("X", "RLD"), cells=OLD), argument=later)
    assert found.state == State.STALE
    assert found.reason.endswith("carried over by wh on 2024-03-01, no longer: change X of B touches RLD")


def test_an_older_reading_keeps_a_target_from_being_blocked() -> None:
    chain = [target("R"), target("M", prerequisites=("R",))]
    tried = Heritage((step(cells=OLD, key="M"),), NEEDS)
    assert states_of_targets(chain, {}, heritage=tried)["M"].state == State.NEVER_TRIED
    assert states_of_targets(chain, {})["M"].state == State.BLOCKED


PRESENT = (
    "own pass",
    "own uncounted",
    "old fail",
    "old pass",
    "touches",
    "near",
    "argument",
    "silent",
    "blocker",
)


def expected(present: frozenset[str]) -> State:
    """The table read from the top; an old fail beside an old pass fails."""
    argued = "argument" in present and "old pass" in present and "old fail" not in present
    old = bool(present & {"old pass", "old fail"})
    heard = old and ("silent" not in present or argued)
    discounted = bool(present & {"touches", "near"}) and "silent" not in present
    rules = [
        (State.VERIFIED, "own pass" in present),
        (State.FAILING, heard and "old fail" in present and "touches" not in present),
        (State.CARRIED_OVER, heard and argued),
        (State.STALE, "own uncounted" in present or (heard and (discounted or "old fail" in present))),
        (State.CARRIED_OVER, heard),
        (State.BLOCKED, not old and "blocker" in present),
        (State.NEVER_TRIED, True),
    ]
    return next(state for state, fits in rules if fits)


def test_the_first_rule_that_fits_decides_for_every_mix_of_evidence() -> None:
    wrong = []
    for size in range(len(PRESENT) + 1):
        for chosen in itertools.combinations(PRESENT, size):
            present = frozenset(chosen)
            if found_with(present) != expected(present):
                wrong.append((sorted(present), found_with(present)))
    assert wrong == []


def found_with(present: frozenset[str]) -> State:
    facts = target(subsystem="MCU", prerequisites=("R",) if "blocker" in present else ())
    old = [("old pass", number("P", 3.322)), ("old fail", number("F", 3.1, "fail"))]
    own = [("own pass", number("O", 3.3)), ("own uncounted", uncounted("U"))]
    changes = [("touches", change("X", "MCU")), ("near", change("Y", "RLD"))]
    recorded = () if "silent" in present else (*NOTHING, *(one for name, one in changes if name in present))
    cells = tuple(cell for name, cell in old if name in present)
    line = Heritage(
        (step(*recorded, cells=cells),), NEEDS, {facts.key: WENDY} if "argument" in present else {}
    )
    here = {facts.key: [cell for name, cell in own if name in present]}
    return states_of_targets([target("R", subsystem="PIN"), facts], here, heritage=line)[facts.key].state


def brute_weight(subsystem: str, line: list[set[str]]) -> float:
    """Product over the steps of the table by the number of steps down to a touched one."""
    chain = ["MEM", "MCU", "RLD", "PIN"]
    below = chain[chain.index(subsystem) :] if subsystem in chain else [subsystem]
    table = {0: 0.0, 1: 0.5, 2: 0.8}
    return math.prod(
        table.get(min((below.index(one) for one in touched if one in below), default=9), 1.0)
        for touched in line
    )


@given(
    st.sampled_from(sorted(NEEDS)),
    st.lists(st.sets(st.sampled_from(sorted(NEEDS))), min_size=1, max_size=5),
)
def test_weights_multiply_along_the_line(subsystem: str, line: list[set[str]]) -> None:
    steps = [
        Step(f"R{place}", f"R{place + 1}", (*NOTHING, change("X", *touched)))
        for place, touched in enumerate(line)
    ]
    last = steps[-1]
    steps[-1] = Step(last.revision, last.parent, last.changes, {"RLD-2": OLD})
    found = inherit(*steps, facts=target(subsystem=subsystem))
    assert found.inherited is not None
    assert found.inherited.weight == pytest.approx(brute_weight(subsystem, line))
    assert (found.state == State.CARRIED_OVER) == (found.inherited.weight == 1)
    assert len(found.reason.splitlines()) == 1


@pytest.mark.parametrize("outcome", ["seen working", "inconclusive"])
def test_what_was_only_seen_is_carried_over_as_only_seen(outcome: str) -> None:
    found = inherit(step(*NOTHING, cells=(seen("0002", outcome),)))
    assert found.reason.startswith("seen working on A; ")
