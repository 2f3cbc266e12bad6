"""The next bench hour of a revision: what is open on which board, and what stands against the rest."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone

from logbook.bench.commands import (
    add_instrument,
    change_target,
    record_calibration,
    record_rework,
    set_position_by_design,
    set_ranges,
)
from logbook.bench.models import Instrument
from logbook.boards.commands import record_board_event
from logbook.common.errors import InvalidInputError
from logbook.planning.commands import RiskSubject, decide_risks
from logbook.planning.queries import RevisionBenchPlan, bench_plan_of
from logbook.projects.commands import add_option, add_revision, add_subsystem, change_project
from tests.builders import Bench


def plan(bench: Bench, minutes: int = 60, *serials: str) -> RevisionBenchPlan:
    return bench_plan_of(bench.revision, minutes=minutes, serials=serials)


def lines(found: RevisionBenchPlan) -> list[tuple[str, str, str]]:
    return [(line.target.key, line.board.serial, line.point) for line in found.lines]


def keys(found: RevisionBenchPlan) -> list[str]:
    return [line.target.key for line in found.lines]


def why_not(found: RevisionBenchPlan, key: str) -> str:
    return next(one.reason for one in found.left_out if one.target == key)


@pytest.mark.parametrize(
    ("readings", "is_open"),
    [
        ([], True),
        (["seen working"], True),
        (["3.3"], False),
        (["9"], False),
        (["9", "3.3"], False),
        (["3.3", "inconclusive"], True),
    ],
    ids=str,
)
def test_what_is_open_is_proposed(bench: Bench, readings: list[str], is_open: bool) -> None:
    bench.target()
    for value in readings:
        bench.read(value)
    assert (keys(plan(bench)) == ["RLD-2"]) == is_open


def test_a_failing_target_buys_nothing_and_is_named(bench: Bench) -> None:
    bench.target()
    bench.read("9")
    found = plan(bench)
    assert why_not(found, "RLD-2").startswith("failing: reading it again buys nothing")


def test_what_asks_for_a_look_only_is_not_planned_again_where_it_was_seen(bench: Bench) -> None:
    bench.target("LED", limits="", kind="seen working", boards_needed=2)
    bench.target("CORE", needs=["LED"])
    bench.read("seen working", "LED")
    found = plan(bench)
    assert keys(found) == ["CORE"]
    assert why_not(found, "LED").startswith("seen working on board 0001: no reading can pass it")
    bench.extra_board("0002")
    assert ("LED", "0002", "") in lines(plan(bench))


def test_it_buys_probability_times_hours(bench: Bench) -> None:
    """(1 + 0)/(4 + 0) by the base rate, 40 h for S2: 10 h."""
    bench.target(values={"severity": "S2", "minutes": 20, "waiting_minutes": 90})
    found = plan(bench)
    line = found.lines[0]
    assert (line.buys, found.buys, found.minutes, found.waiting_minutes) == (10.0, 10.0, 20, 90)
    assert line.reason.endswith("0.25 × 40 h (S2) = 10 h")
    assert line.probability_basis.startswith("base rate (1 + 0) / (4 + 0)")


def test_the_hours_of_the_project_count(bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    change_project(actor=bench.actor, project=bench.project, values={"hours_s2": 100.0})
    bench.revision.refresh_from_db()
    assert plan(bench).buys == 25.0


def test_partly_verified_goes_to_a_board_that_has_not_shown_it(bench: Bench) -> None:
    bench.extra_board("0002")
    bench.target(boards_needed=2)
    bench.read("3.3")
    assert lines(plan(bench)) == [("RLD-2", "0002", "")]


def test_partly_verified_with_no_further_board_says_so(bench: Bench) -> None:
    bench.target(boards_needed=2)
    bench.read("3.3")
    assert why_not(plan(bench), "RLD-2") == "nothing left to read on the boards at hand"


def test_only_missing_points_are_read(bench: Bench) -> None:
    bench.target(points=("CH1", "CH2"))
    bench.read("3.3", point="CH1")
    assert lines(plan(bench)) == [("RLD-2", "0001", "CH2")]


def test_a_pass_elsewhere_does_not_open_the_way_on_this_board(bench: Bench) -> None:
    bench.extra_board("0002")
    bench.target("RAIL")
    bench.target("CORE", needs=["RAIL"])
    bench.read("3.3", "RAIL", board="0002")
    found = plan(bench, 60, "0001")
    assert [(line.target.key, line.buys > 0) for line in found.lines] == [("RAIL", False), ("CORE", True)]
    assert "verified on this revision, not yet on board 0001" in found.lines[0].reason


def test_the_board_that_passes_is_cheaper(bench: Bench) -> None:
    bench.extra_board("0002")
    bench.target("RAIL")
    bench.target("CORE", needs=["RAIL"])
    bench.read("3.3", "RAIL", board="0002")
    assert lines(plan(bench)) == [("CORE", "0002", "")]


def test_what_stands_behind_a_failing_prerequisite_is_left_out_and_named(bench: Bench) -> None:
    bench.target("RAIL")
    bench.target("CORE", needs=["RAIL"])
    bench.target("WALK", needs=["CORE"])
    bench.read("3.3", "CORE")
    bench.read("9", "RAIL")
    found = plan(bench)
    assert keys(found) == []
    assert why_not(found, "WALK") == "RAIL fails on board 0001"


def test_a_prerequisite_with_points_is_planned_whole(bench: Bench) -> None:
    bench.target("RAIL", points=("9 V", "16 V"))
    bench.target("CORE", needs=["RAIL"])
    bench.read("3.3", "RAIL", point="9 V")
    assert lines(plan(bench)) == [("RAIL", "0001", "16 V"), ("CORE", "0001", "")]


def test_a_prerequisite_that_does_not_apply_holds_nothing_up(bench: Bench) -> None:
    option = add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="j",
        positions=["in"],
    )  # fmt: skip
    set_position_by_design(actor=bench.actor, revision=bench.revision, option=option, position=None)
    bench.target("RAIL", values={"needs_option": option})
    bench.target("CORE", needs=["RAIL"])
    assert keys(plan(bench)) == ["CORE"]


def test_a_reading_that_would_not_count_is_not_proposed(bench: Bench) -> None:
    bench.target()
    record_rework(
        actor=bench.actor, board=bench.board, key="RW-1", kind="part swap", intent="repair", what="R5",
        subsystems=[bench.subsystem], in_force_from=timezone.now() - timedelta(days=3),
    )  # fmt: skip
    found = plan(bench)
    assert keys(found) == []
    assert why_not(found, "RLD-2") == "would not count as designed on board 0001: RW-1 (repair) in force"


def test_it_may_still_be_read_there_for_what_needs_it(bench: Bench) -> None:
    other = add_subsystem(actor=bench.actor, project=bench.project, key="MCU", name="m", kind="processor")
    bench.target("RAIL")
    bench.target("CORE", needs=["RAIL"], subsystem=other)
    record_rework(
        actor=bench.actor, board=bench.board, key="RW-1", kind="part swap", intent="repair", what="R5",
        subsystems=[bench.subsystem], in_force_from=timezone.now() - timedelta(days=3),
    )  # fmt: skip
    assert [(line.target.key, line.buys > 0) for line in plan(bench).lines] == [
        ("RAIL", False),
        ("CORE", True),
    ]


def reference(bench: Bench) -> None:
    record_board_event(actor=bench.actor, board=bench.board, state="reference", at=timezone.now())


def test_only_boards_in_use_count_unless_named(bench: Bench) -> None:
    bench.target()
    reference(bench)
    assert plan(bench).boards == ()
    assert keys(plan(bench, 60, "0001")) == ["RLD-2"]


def test_a_reference_board_is_never_stressed(bench: Bench) -> None:
    bench.target(values={"stresses_board": True})
    reference(bench)
    found = plan(bench, 60, "0001")
    assert keys(found) == []
    assert why_not(found, "RLD-2") == "it stresses the board, and 0001 is the reference"


def test_the_only_board_at_hand_is_not_stressed(bench: Bench) -> None:
    bench.target("RLD-9", values={"severity": "S1", "stresses_board": True})
    bench.target("RLD-1", values={"severity": "S5"})
    found = plan(bench)
    assert keys(found) == ["RLD-1"]
    assert "0001 is the only one at hand" in why_not(found, "RLD-9")
    assert [one.target for one in found.spared] == ["RLD-9"]


@pytest.mark.parametrize(("state", "stressed"), [("in use", True), ("reference", False), ("lent", False)])
def test_a_second_board_to_work_on_lets_it_be_stressed_last(bench: Bench, state: str, stressed: bool) -> None:
    bench.target("RLD-9", values={"severity": "S1", "stresses_board": True})
    bench.target("RLD-1", values={"severity": "S5"})
    record_board_event(actor=bench.actor, board=bench.extra_board("0002"), state=state, at=timezone.now())
    assert keys(plan(bench)) == (["RLD-1", "RLD-9"] if stressed else ["RLD-1"])


def test_the_decision_to_test_it_first_lets_it_be_stressed_last(bench: Bench) -> None:
    bench.target("RLD-9", values={"severity": "S1", "stresses_board": True})
    bench.target("RLD-1", values={"severity": "S5"})
    rows = [RiskSubject("target", "RLD-9")]
    decide_risks(
        actor=bench.actor, revision=bench.revision, rows=rows, decision="test first", owner="wh", reason="x"
    )
    assert keys(plan(bench)) == ["RLD-1", "RLD-9"]


def meter(bench: Bench, percent: str, name: str = "DMM-9") -> None:
    instrument = add_instrument(actor=bench.actor, name=name, kind="multimeter")
    ranges = [{"name": "6 V", "unit": "V", "full_scale": "6", "percent_of_reading": percent}]
    set_ranges(actor=bench.actor, instrument=instrument, ranges=ranges)


@pytest.mark.parametrize(("percent", "planned"), [("0.05", True), ("20", False)])
def test_undecidable_is_open_while_a_better_instrument_is_at_hand(
    bench: Bench, percent: str, planned: bool
) -> None:
    """3.3 V ± 66 mV: 0.05 % of reading is about 2 mV and can tell, 20 % is about 0.8 V and cannot."""
    bench.target()
    bench.read("3.3", expanded_uncertainty="0.1")
    meter(bench, percent)
    found = plan(bench)
    assert (keys(found) == ["RLD-2"]) == planned
    if planned:
        assert found.lines[0].reason.startswith("undecidable so far, DMM-9 would decide it")
    else:
        assert why_not(found, "RLD-2") == "undecidable, and no instrument here would decide it"


def test_an_instrument_whose_date_has_passed_is_named_last_and_flagged(bench: Bench) -> None:
    bench.target()
    bench.read("3.3", expanded_uncertainty="0.1")
    meter(bench, "0.05")
    old = Instrument.objects.get(name="DMM-9")
    record_calibration(
        actor=bench.actor, instrument=old, number="K-1", on=date(2020, 1, 7), result="in limits",
        next_due=date(2021, 1, 7),
    )  # fmt: skip
    assert "DMM-9 (out of calibration since 2021-01-07) would decide it" in plan(bench).lines[0].reason
    meter(bench, "0.05", name="DMM-A")
    assert "DMM-A would decide it" in plan(bench).lines[0].reason


@pytest.mark.parametrize("minutes", [0, -5, 1441])
def test_minutes_that_are_none_of_a_day_are_refused(bench: Bench, minutes: int) -> None:
    with pytest.raises(InvalidInputError) as caught:
        plan(bench, minutes)
    assert [(one.field, one.allowed) for one in caught.value.problems] == [("minutes", "1 to 1440")]


@pytest.mark.parametrize("serial", ["0009", "0077"], ids=["of another revision", "of none"])
def test_a_board_that_is_not_of_the_revision_is_refused(bench: Bench, serial: str) -> None:
    other = add_revision(actor=bench.actor, project=bench.project, label="B")
    bench.extra_board("0009", other)
    with pytest.raises(InvalidInputError) as caught:
        plan(bench, 60, serial)
    assert [(one.field, one.given, one.allowed) for one in caught.value.problems] == [
        ("board", serial, "0001")
    ]


def test_it_needs_as_many_queries_for_many_targets_as_for_few(
    bench: Bench, django_assert_max_num_queries: Any
) -> None:
    for number in range(6):
        bench.extra_board(f"01{number}")
    for place in range(10):
        bench.target(f"RLD-{place}", needs=[f"RLD-{place - 1}"] if place else [])
        bench.read("3.3", f"RLD-{place}", board="010")
    with django_assert_max_num_queries(25):
        plan(bench)


def test_a_change_of_minutes_of_a_target_changes_the_plan(bench: Bench) -> None:
    target = bench.target()
    change_target(actor=bench.actor, target=target, values={"minutes": 90})
    assert why_not(plan(bench), "RLD-2") == "takes 90 min, and there are 60"
