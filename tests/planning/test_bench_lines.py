"""What is next on one board: order, stop sign, what waits, and what sister boards read."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.bench.commands import (
    ReadingInput,
    change_target,
    issue_target,
    record_readings,
    withdraw_measurement,
)
from logbook.bench.commands.targets import Asked
from logbook.boards.commands import record_board_event
from logbook.planning.queries import BenchLine, bench_lines_of
from logbook.projects.commands import add_revision
from tests.builders import Bench


def lines(bench: Bench) -> dict[str, BenchLine]:
    return {line.target.key: line for line in bench_lines_of(bench.board)}


def chain(bench: Bench, count: int = 3) -> None:
    for number in range(1, count + 1):
        bench.target(f"T{number}", needs=[f"T{number - 1}"] if number > 1 else [])


def test_what_is_needed_comes_first(bench: Bench) -> None:
    for key, needs in [("LAST", []), ("MID", []), ("FIRST", [])]:
        bench.target(key, needs=needs)
    for key, needs in [("LAST", ["MID"]), ("MID", ["FIRST"])]:
        target = bench.project.targets.get(key=key)
        change_target(actor=bench.actor, target=target, values={}, prerequisites=needs)
    assert list(lines(bench)) == ["FIRST", "MID", "LAST"]


def test_without_needs_the_order_is_that_of_the_targets(bench: Bench) -> None:
    for key in ("B", "A", "C"):
        bench.target(key)
    assert list(lines(bench)) == ["B", "A", "C"]


def test_every_point_is_a_line(bench: Bench) -> None:
    bench.target(points=("CH1", "CH2"))
    assert [line.point for line in bench_lines_of(bench.board)] == ["CH1", "CH2"]


@pytest.mark.parametrize("value", ["9", "not working"])
def test_a_failing_prerequisite_stops_all_that_need_it(bench: Bench, value: str) -> None:
    chain(bench)
    bench.read(value, "T1")
    assert [lines(bench)[key].stop for key in ("T1", "T2", "T3")] == [(), ("T1",), ("T1",)]


def test_a_conditional_fail_stops_too(bench: Bench) -> None:
    chain(bench, 2)
    bench.read("3.37", "T1", expanded_uncertainty="10 mV")
    assert lines(bench)["T2"].stop == ("T1",)


def test_a_failure_on_another_board_stops_nothing_here(bench: Bench) -> None:
    chain(bench, 2)
    bench.extra_board("0002")
    bench.read("9", "T1", board="0002")
    assert lines(bench)["T2"].stop == ()


def test_a_failing_point_that_is_no_longer_asked_for_stops_nothing(bench: Bench) -> None:
    chain(bench, 2)
    bench.read("9", "T1")
    target = bench.project.targets.get(key="T1")
    asked = Asked(limits="3.234..3.366 V", points=("CH1", "CH2"))
    issue_target(actor=bench.actor, target=target, asked=asked, reason="two channels")
    assert lines(bench)["T2"].stop == ()


@pytest.mark.parametrize(
    ("value", "waits"),
    [
        (None, ("T1",)),
        ("3.3", ()),
        ("9", ("T1",)),
        ("seen working", ("T1",)),
        ("inconclusive", ("T1",)),
    ],
    ids=str,
)
def test_it_waits_for_a_pass_of_what_it_needs_directly(
    bench: Bench, value: str | None, waits: tuple[str, ...]
) -> None:
    chain(bench)
    if value:
        bench.read(value, "T1")
    assert lines(bench)["T2"].waits_for == waits
    assert lines(bench)["T3"].waits_for == ("T2",)


def test_a_conditional_pass_is_enough_to_go_on(bench: Bench) -> None:
    chain(bench, 2)
    bench.read("3.36", "T1", expanded_uncertainty="10 mV")
    assert lines(bench)["T2"].waits_for == ()


def test_a_prerequisite_with_a_point_unread_has_not_passed(bench: Bench) -> None:
    bench.target("T1", points=("CH1", "CH2"))
    bench.target("T2", needs=["T1"])
    bench.read("3.3", "T1", point="CH1")
    assert lines(bench)["T2"].waits_for == ("T1",)
    bench.read("3.3", "T1", point="CH2")
    assert lines(bench)["T2"].waits_for == ()


@pytest.mark.parametrize(
    ("value", "given", "is_open"),
    [
        (None, {}, True),
        ("3.3", {}, False),
        ("9", {}, False),
        ("inconclusive", {}, True),
        ("seen working", {}, True),
        ("3.3", {"expanded_uncertainty": "0.1"}, True),
    ],
    ids=str,
)
def test_a_line_is_open_while_a_reading_would_tell_something(
    bench: Bench, value: str | None, given: dict[str, Any], is_open: bool
) -> None:
    bench.target()
    if value:
        bench.read(value, **given)
    assert lines(bench)["RLD-2"].is_open is is_open


def test_a_withdrawn_reading_opens_the_line_again(bench: Bench) -> None:
    bench.target()
    withdraw_measurement(actor=bench.actor, measurement=bench.read("3.3"), because="slipped")
    assert lines(bench)["RLD-2"].is_open


def test_sisters_that_can_be_compared_with_come_first_and_others_say_why_not(bench: Bench) -> None:
    bench.target()
    for serial, state in (("0002", "damaged"), ("0003", "reference"), ("0004", "lent"), ("0005", "in use")):
        board = bench.extra_board(serial)
        bench.read("3.301 V", board=serial)
        record_board_event(actor=bench.actor, board=board, state=state)
    sisters = lines(bench)["RLD-2"].sisters
    assert [(one.serial, one.state) for one in sisters] == [
        ("0003", ""),
        ("0005", ""),
        ("0002", "damaged"),
        ("0004", "lent"),
    ]


def test_sisters_are_the_other_boards_with_their_revision(bench: Bench) -> None:
    bench.target()
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    bench.extra_board("0002", later)
    bench.read("3.3")
    bench.read("3301 mV", board="0002")
    sisters = lines(bench)["RLD-2"].sisters
    assert [(one.serial, one.revision, one.text, one.unit, one.verdict) for one in sisters] == [
        ("0002", "B", "3301", "mV", "pass")
    ]
    assert sisters[0].value_base == pytest.approx(3.301)


def test_a_target_meant_for_another_revision_is_no_line(bench: Bench) -> None:
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    bench.target(meant_for=later)
    assert lines(bench) == {}


def test_its_cost_does_not_grow(bench: Bench, django_assert_max_num_queries: Any) -> None:
    for size in (2, 25):
        for number in range(size):
            bench.target(f"T{size}-{number}", needs=[f"T{size}-{number - 1}"] if number else [])
            bench.extra_board(f"{size}-{number}")
        items = [
            ReadingInput("tern", f"{size}-{n}", "3.3", f"T{size}-{n}", key=f"{size}/{n}") for n in range(size)
        ]
        record_readings(actor=bench.actor, items=items)
        with django_assert_max_num_queries(7):
            bench_lines_of(bench.board)
