"""The table of states: each rule alone, all rules in their order, and the demo's own cases."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import EvidenceError, GraphError
from logbook.core.state import CellEvidence, State, TargetFacts, states_of_targets, waived
from tests.core.state.cells import number, seen, state_of, target, uncounted, word

ON_BOARD: dict[str, CellEvidence] = {
    "fail": number("F", 3.181, "fail"),
    "conditional pass": number("C", 3.365, "conditional pass"),
    "doubtful": number("D", 3.365),
    "pass": number("P", 3.300),
    "observed": seen("S", "seen working"),
    "uncounted": uncounted("U"),
}


def expected_word(present: frozenset[str]) -> State:
    """The table read from the top, on what is present and not on the cells that show it."""
    rules = [
        (State.NOT_APPLICABLE, "option" in present),
        (State.FAILING, "fail" in present),
        (State.MARGINAL, "conditional pass" in present or {"doubtful", "pass"} <= present),
        (State.VERIFIED, {"pass", "one asked"} <= present or {"doubtful", "one asked"} <= present),
        (State.PARTLY_VERIFIED, bool({"pass", "doubtful"} & present)),
        (State.SEEN_WORKING, "observed" in present),
        (State.STALE, "uncounted" in present),
        (State.BLOCKED, "blocker" in present),
        (State.NEVER_TRIED, True),
    ]
    return next(state for state, fits in rules if fits)


def subsets(names: list[str]) -> list[frozenset[str]]:
    return [frozenset(some) for n in range(len(names) + 1) for some in itertools.combinations(names, n)]


def test_the_first_rule_that_fits_decides_for_every_mix_of_evidence() -> None:
    wrong = []
    for present in subsets([*ON_BOARD, "option", "blocker", "one asked"]):
        facts = target(
            option_not_fitted="BT1" if "option" in present else "",
            prerequisites=("RLD-1",) if "blocker" in present else (),
            boards_needed=1 if "one asked" in present else 9,
        )
        cells = [cell for name, cell in ON_BOARD.items() if name in present]
        found = states_of_targets([target("RLD-1"), facts], {facts.key: cells})[facts.key]
        if found.state != expected_word(present):
            wrong.append((sorted(present), found.state))
    assert wrong == []


@pytest.mark.parametrize(
    ("cells", "state"),
    [
        ([number("A", 3.181, "conditional fail")], State.FAILING),
        ([number("A", 3.300), seen("B", "not working")], State.FAILING),
        ([number("A", 3.365)], State.VERIFIED),
        ([number("A", 3.365, undecidable=True)], State.MARGINAL),
        ([number("A", 3.300), number("B", 3.301, undecidable=True)], State.VERIFIED),
        ([seen("A", "yes_no", "pass")], State.VERIFIED),
        ([seen("A", "inconclusive")], State.SEEN_WORKING),
        ([seen("A", "seen working"), uncounted("B")], State.SEEN_WORKING),
        ([], State.NEVER_TRIED),
    ],
    ids=[
        "conditional fail fails",
        "seen not working fails",
        "one board near its limit is no sample",
        "every reading undecidable",
        "one of two undecidable",
        "a yes",
        "inconclusive",
        "seen before stale",
        "nothing",
    ],
)
def test_a_reading_leads_to_its_state(cells: list[CellEvidence], state: State) -> None:
    assert word(target(), *cells) == state


def test_a_failing_point_is_not_hidden_by_missing_points() -> None:
    facts = target(points=("CH1", "CH2"))
    assert word(facts, number("A", 3.1, "fail", point="CH1")) == State.FAILING
    assert word(facts, number("A", 3.365, "conditional pass", point="CH1")) == State.MARGINAL


def test_missing_points_leave_a_board_partly_verified() -> None:
    facts = target(points=("CH1", "CH2"))
    found = state_of(facts, number("0006", 3.30, point="CH1"))
    assert (found.state, found.passing_boards) == (State.PARTLY_VERIFIED, 0)
    assert found.reason == "passes on 0 of 1; CH2 not read on 0006"


def test_points_are_judged_one_by_one_and_the_worst_stands() -> None:
    facts = target(points=("CH1", "CH2"))
    calm = [number(board, 3.30, point="CH1") for board in "AB"]
    edge = [number(board, 3.36, point="CH2") for board in "AB"]
    found = state_of(facts, *calm, *edge)
    alone = state_of(target(), *(number(board, 3.36) for board in "AB"))
    assert found.state == State.MARGINAL
    assert found.probability_out == alone.probability_out
    assert "at CH2" in found.reason


def test_the_marginal_threshold_is_a_setting_and_belongs_to_marginal() -> None:
    cells = [number("A", 3.345), number("B", 3.350)]
    p_out = state_of(target(), *cells).probability_out
    assert p_out is not None
    assert state_of(target(), *cells, marginal_probability=p_out).state == State.MARGINAL
    assert state_of(target(), *cells, marginal_probability=p_out + 1e-9).state == State.VERIFIED


def test_a_chain_of_prerequisites_blocks_all_the_way_up() -> None:
    chain = [target("M4", prerequisites=("M1",)), target("M1", prerequisites=("R",)), target("R")]
    states = states_of_targets(chain, {"R": [number("A", 3.1, "fail")]})
    assert [state.state for state in states.values()] == [State.BLOCKED, State.BLOCKED, State.FAILING]
    assert states["M1"].reason == "needs R, which is failing"
    assert states["M4"].reason == "needs M1, which is blocked"


@pytest.mark.parametrize(
    ("prerequisite", "cells"),
    [
        (target("R"), [number("A", 3.30)]),
        (target("R"), [number("A", 3.365, "conditional pass")]),
        (target("R"), [seen("A", "seen working")]),
        (target("R"), [uncounted("A")]),
        (target("R", boards_needed=2), [number("A", 3.30)]),
        (target("R", option_not_fitted="BT1"), []),
    ],
    ids=["verified", "marginal", "seen working", "stale", "partly verified", "not applicable"],
)
def test_other_states_of_a_prerequisite_do_not_block(
    prerequisite: TargetFacts, cells: list[CellEvidence]
) -> None:
    facts = target("M1", prerequisites=("R",))
    assert states_of_targets([facts, prerequisite], {"R": cells})["M1"].state == State.NEVER_TRIED


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        (
            [number("0001", 3.181, "fail"), number("0002", 3.184, "fail", text="3.184 V")],
            "0001: 3.181 V fail, 0002: 3.184 V fail (limits 3.234 to 3.366 V)",
        ),
        ([seen("0002", "not working")], "0002: not working (limits 3.234 to 3.366 V)"),
        (
            [number("0004", 3.3655, "conditional pass")],
            "0004: 3.3655 V conditional pass (limits 3.234 to 3.366 V)",
        ),
        ([number("0003", 3.322), number("0004", 3.319)], "passes on 0003, 0004; 1 asked for"),
        ([number("0003", 3.3, undecidable=True)], "no reading with this uncertainty could pass: 0003"),
        ([seen("0002", "seen working")], "seen working on 0002, no verdict"),
        (
            [uncounted("0002")],
            "only readings that do not count: 0002: rework RW-02 (repair) in force",
        ),
        ([], "no reading on any board of this revision"),
    ],
    ids=["failing", "not working", "marginal", "verified", "undecidable", "seen", "stale", "never tried"],
)
def test_the_reason_names_boards_readings_and_limits(cells: list[CellEvidence], reason: str) -> None:
    assert state_of(target(), *cells).reason == reason


def test_the_reason_names_the_option_and_the_probability() -> None:
    assert state_of(target(option_not_fitted="BT1")).reason == "option BT1 is not fitted on this revision"
    found = state_of(target(), number("A", 3.36), number("B", 3.35))
    assert found.reason == (
        f"all read pass, but the next board is out of limits with {100 * (found.probability_out or 0):.0f} %"
        " (limits 3.234 to 3.366 V)"
    )


@pytest.mark.parametrize(
    ("low", "high", "text"), [(None, 3.0, "≤ 3 V"), (3.2, None, "≥ 3.2 V")], ids=["upper", "lower"]
)
def test_a_single_limit_is_written_as_such(low: float | None, high: float | None, text: str) -> None:
    found = state_of(target(low=low, high=high), number("A", 3.1, "fail"))
    assert found.reason.endswith(f"(limits {text})")


def test_a_long_list_of_boards_is_cut_and_says_so() -> None:
    found = state_of(target(), *(number(f"{i:04}", 3.3) for i in range(7)))
    assert found.reason == "passes on 0000, 0001, 0002, 0003 and 3 more; 1 asked for"


def test_the_demo_rail_of_three_boards_is_verified() -> None:
    # Readings of RLD-2 on the three boards of one revision; P_out is the stated value of the model.
    cells = [number("0003", 3.322), number("0004", 3.319), number("0005", 3.326)]
    found = state_of(target(), *cells)
    assert (found.state, found.passing_boards, found.worst_board) == (State.VERIFIED, 3, "0005")
    assert found.probability_out == pytest.approx(0.0184, abs=6e-5)


cells_of_any_kind = st.one_of(
    st.builds(lambda verdict: ("number", verdict), st.sampled_from(["pass", "conditional pass", "fail"])),
    st.sampled_from([("yes_no", "pass"), ("yes_no", "fail"), ("seen working", None), ("not working", None)]),
)


@given(st.lists(cells_of_any_kind, min_size=1, max_size=6), st.randoms(use_true_random=False))
def test_the_order_of_the_cells_changes_nothing_but_the_listing(kinds: list[Any], rng: Any) -> None:
    cells = [
        number(f"{i}", 3.3, verdict) if outcome == "number" else seen(f"{i}", outcome, verdict)
        for i, (outcome, verdict) in enumerate(kinds)
    ]
    shuffled = rng.sample(cells, len(cells))
    first, second = state_of(target(), *cells), state_of(target(), *shuffled)
    assert (first.state, first.passing_boards, first.worst_board) == (
        second.state,
        second.passing_boards,
        second.worst_board,
    )
    assert first.probability_out == pytest.approx(second.probability_out)


def test_it_refuses_evidence_that_belongs_to_no_target() -> None:
    with pytest.raises(EvidenceError, match="evidence for RLD-9, which is no target"):
        states_of_targets([target()], {"RLD-9": []})


def test_it_refuses_a_target_named_twice() -> None:
    with pytest.raises(EvidenceError, match="RLD-2 comes twice"):
        states_of_targets([target(), target()], {})


def test_it_refuses_a_prerequisite_it_does_not_know() -> None:
    with pytest.raises(GraphError, match="RLD-2 needs PIN-1"):
        states_of_targets([target(prerequisites=("PIN-1",))], {})


def test_a_decision_makes_a_target_not_applicable_whatever_was_read() -> None:
    found = state_of(target(decided_not_applicable="wh: no such output here"), number("A", 3.1, "fail"))
    assert (found.state, found.reason) == (
        State.NOT_APPLICABLE,
        "decided not applicable by wh: no such output here",
    )


def test_waived_shows_the_state_beneath_and_does_not_unblock() -> None:
    facts = [target("R"), target("M", prerequisites=("R",))]
    states = states_of_targets(facts, {"R": [number("A", 3.1, "fail")]})
    found = waived(states["R"], "accept by iv until revision D: known")
    assert (found.state, found.beneath, found.boards) == (State.WAIVED, State.FAILING, states["R"].boards)
    assert found.reason.startswith("accept by iv until revision D: known; beneath: failing, A: ")
    assert states["M"].state == State.BLOCKED


@pytest.mark.parametrize(
    ("kind", "outcome", "text", "asked"),
    [("yes/no", "yes_no", "no", "yes"), ("count", "count", "17 of 20", "20 of 20")],
)
def test_a_plain_answer_is_said_beside_what_was_asked(kind: str, outcome: str, text: str, asked: str) -> None:
    facts = target(kind=kind, low=None, high=None, unit="", limits_text=asked)
    cell = replace(seen("02", outcome, "fail"), text=text)
    assert state_of(facts, cell).reason == f"02 read {text}, asked {asked}"
