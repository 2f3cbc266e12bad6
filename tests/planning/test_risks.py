"""The open-risk list: kinds, order, base rates, levels and what would close each row."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from logbook.bench.commands import ReadingInput, add_instrument, record_calibration, record_readings
from logbook.common import clock
from logbook.planning.queries import RiskRow, open_risks_of
from logbook.projects.commands import add_subsystem, change_project
from tests.builders import Bench, build_bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)


def rows(bench: Bench) -> list[RiskRow]:
    return list(open_risks_of(bench.revision).rows)


def row(bench: Bench, key: str = "RLD-2") -> RiskRow:
    return next(one for one in rows(bench) if one.subject == key)


@pytest.mark.parametrize(
    ("value", "given", "kind"),
    [
        (None, {}, "never tried"),
        ("9", {}, "failing"),
        ("3.36", {"expanded_uncertainty": "10 mV"}, "marginal"),
        ("3.3", {"expanded_uncertainty": "0.1"}, "undecidable"),
        ("seen working", {}, "seen working"),
    ],
    ids=str,
)
def test_a_state_that_leaves_something_open_is_a_row(
    bench: Bench, value: str | None, given: dict[str, Any], kind: str
) -> None:
    bench.target()
    if value:
        bench.read(value, **given)
    assert [one.kind for one in rows(bench)] == [kind]


def test_a_verified_target_is_no_risk(bench: Bench) -> None:
    bench.target()
    bench.read("3.3")
    assert rows(bench) == []


@pytest.mark.parametrize(
    ("severity", "level"),
    [("S1", "High"), ("S2", "High"), ("S3", "Serious"), ("S4", "Medium"), ("S5", "Medium")],
)
def test_never_tried_is_one_in_four_in_the_matrix(bench: Bench, severity: str, level: str) -> None:
    """(1 + 0)/(4 + 0) is row B; MIL-STD-882E (2012), Table III."""
    bench.target(values={"severity": severity})
    found = row(bench)
    assert (found.probability, found.level, found.severity) == (0.25, level, severity)


def test_harm_to_people_has_its_own_level_and_the_worse_one_shows(bench: Bench) -> None:
    """0.25 is row A of Table A-II, critical: High; S4 at row B: Medium (MIL-STD-882E)."""
    bench.target(values={"severity": "S4", "harm": "critical"})
    found = row(bench)
    assert (found.function_level, found.harm_level, found.level) == ("Medium", "High", "High")


def clocks(bench: Bench) -> None:
    """Give the bench a second power subsystem's worth of other targets: 16 of them read, 1 failing."""
    for number in range(16):
        bench.target(f"P{number}")
        bench.read("9" if number == 0 else "3.3", f"P{number}")


def test_the_base_rate_counts_trials_of_the_same_kind(bench: Bench) -> None:
    """k = 1 of m = 16: (1 + 1)/(4 + 16) = 0.1, which belongs to the higher row B."""
    clocks(bench)
    bench.target("NEW", values={"severity": "S2"})
    assert (row(bench, "NEW").probability, row(bench, "NEW").level) == (0.1, "High")


def test_just_below_the_border_it_is_the_row_beneath(bench: Bench) -> None:
    """(1 + 1)/(4 + 17) = 0.095: row C, S2: Serious."""
    clocks(bench)
    bench.target("P16")
    bench.read("3.3", "P16")
    bench.target("NEW", values={"severity": "S2"})
    assert (row(bench, "NEW").probability, row(bench, "NEW").level) == (pytest.approx(2 / 21), "Serious")


def test_its_own_trial_is_left_out_of_its_base_rate(bench: Bench) -> None:
    bench.target(kind="seen working", limits="")
    bench.read("no")
    bench.read("seen working")
    assert row(bench).kind == "seen working"
    assert row(bench).probability == 0.25


def test_another_kind_of_subsystem_does_not_count(bench: Bench) -> None:
    other = add_subsystem(actor=bench.actor, project=bench.project, key="CLK", name="c", kind="clocks")
    bench.target("P0")
    bench.read("9", "P0")
    bench.target("NEW", subsystem=other)
    assert row(bench, "NEW").probability == 0.25


@pytest.mark.parametrize(
    ("mine", "theirs", "probability"),
    [(True, True, 2 / 5), (True, False, 1 / 4), (False, True, 1 / 4), (False, False, 1 / 4)],
)
def test_counts_cross_between_projects_that_both_share_them(
    bench: Bench, mine: bool, theirs: bool, probability: float
) -> None:
    other = build_bench("heron")
    other.target()
    other.read("9")
    for one, shares in ((bench, mine), (other, theirs)):
        change_project(actor=one.actor, project=one.project, values={"shares_counts": shares})
    bench.target()
    bench.revision.refresh_from_db()
    assert row(bench).probability == pytest.approx(probability)


def test_the_worst_comes_first_then_what_weighs_more(bench: Bench) -> None:
    for key, severity in [("D", "S4"), ("C", "S3"), ("B", "S2"), ("A", "S1"), ("E", "S5")]:
        bench.target(key, values={"severity": severity})
    assert [one.subject for one in rows(bench)] == ["A", "B", "C", "D", "E"]


def test_what_others_need_weighs_more(bench: Bench) -> None:
    for key, needs in [("A", []), ("B", []), ("C", ["B"]), ("D", ["C"])]:
        bench.target(key, needs=needs)
    found = {one.subject: one for one in rows(bench)}
    assert [found[key].fan_out for key in "ABCD"] == [0, 2, 1, 0]
    assert next(iter(found)) == "B"
    assert found["B"].weight == pytest.approx(0.25 * 8 * 3)


def test_the_hours_of_the_project_weigh(bench: Bench) -> None:
    bench.target(values={"severity": "S3"})
    change_project(actor=bench.actor, project=bench.project, values={"hours_s3": 100})
    bench.revision.refresh_from_db()
    assert row(bench).weight == pytest.approx(25)


def test_equal_risks_come_by_key(bench: Bench) -> None:
    for key in ("B", "C", "A"):
        bench.target(key)
    assert [one.subject for one in rows(bench)] == ["A", "B", "C"]


def overdue_reading(bench: Bench) -> None:
    meter = add_instrument(actor=bench.actor, name="M-1", kind="meter")
    record_calibration(
        actor=bench.actor, instrument=meter, number="K1", on=date(2024, 1, 1), result="in limits",
        next_due=date(2024, 2, 1),
    )  # fmt: skip
    bench.target()
    bench.read("3.3", instrument="M-1", taken_at=NOON)


def test_an_instrument_out_of_calibration_is_a_row_of_its_own(bench: Bench) -> None:
    overdue_reading(bench)
    found = rows(bench)
    assert [one.kind for one in found] == ["instrument out of calibration"]
    assert "M-1" in found[0].reason
    assert "2024-02-01" in found[0].reason
    assert found[0].closes == "calibrate M-1 and find it in limits, or read again with another"


@pytest.mark.parametrize(("result", "kinds"), [("in limits", []), ("out of limits", ["stale"])])
def test_the_next_calibration_settles_it(bench: Bench, result: str, kinds: list[str]) -> None:
    overdue_reading(bench)
    meter = bench.project.measurements.get().instrument
    assert meter is not None
    record_calibration(
        actor=bench.actor, instrument=meter, number="K2", on=date(2024, 4, 1), result=result,
        next_due=date(2025, 4, 1),
    )  # fmt: skip
    assert [one.kind for one in rows(bench)] == kinds


@pytest.mark.parametrize(
    ("value", "closes"),
    [
        (None, "a first reading on 2 boards"),
        ("9", "fix the cause, then a pass on an unmodified board of the next revision"),
        ("3.3", "a pass on 1 more board"),
        ("inconclusive", "a reading with a verdict on 2 boards"),
    ],
    ids=str,
)
def test_a_row_says_what_would_close_it(bench: Bench, value: str | None, closes: str) -> None:
    bench.target(boards_needed=2)
    if value:
        bench.read(value)
    assert row(bench).closes == closes


def test_a_blocked_target_says_what_it_needs(bench: Bench) -> None:
    bench.target("T1")
    bench.target("T2", needs=["T1"])
    assert row(bench, "T2").kind == "blocked"
    assert row(bench, "T2").closes == (
        "needs T1, which is never tried: settle that, then read this on 1 board"
    )


def test_a_past_day_lists_what_was_open_then(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target()
    with clock.standing_at(NOON + timedelta(days=3)):
        bench.read("3.3")
    kinds = [
        [one.kind for one in open_risks_of(bench.revision, as_of=(NOON + timedelta(days=days)).date()).rows]
        for days in (-1, 2, 3)
    ]
    assert kinds == [[], ["never tried"], []]


def test_its_cost_does_not_grow(bench: Bench, django_assert_max_num_queries: Any) -> None:
    for size in (2, 25):
        for number in range(size):
            bench.target(f"T{size}-{number}")
        items = [ReadingInput("tern", "0001", "9", f"T{size}-{n}", key=f"{size}/{n}") for n in range(size)]
        record_readings(actor=bench.actor, items=items)
        with django_assert_max_num_queries(15):
            open_risks_of(bench.revision)
