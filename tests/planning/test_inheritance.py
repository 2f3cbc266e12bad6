"""What a revision inherits from real readings, changes, reworks and arguments, today and on a past day."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from logbook.bench.commands import (
    ReadingInput,
    issue_target,
    record_readings,
    record_rework,
    withdraw_measurement,
)
from logbook.bench.commands.targets import Asked
from logbook.boards.commands import fold_in_rework
from logbook.boards.models import Rework
from logbook.common import clock
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.planning.commands import carry_over, withdraw_carry_over
from logbook.planning.queries import CoverageRow, coverage_of, open_risks_of, state_path_of
from logbook.projects.commands import add_change, add_revision, add_subsystem, withdraw_change
from logbook.projects.models import Change, Revision, Subsystem
from tests.builders import Bench, build_bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
DAY = timedelta(days=1)


@pytest.fixture
def child(bench: Bench) -> Revision:
    """Return revision B, which descends from A and records nothing yet."""
    return add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)


def change(bench: Bench, revision: Revision, *touched: Subsystem, key: str = "X") -> Change:
    return add_change(
        actor=bench.actor, revision=revision, key=key, kind="schematic", what="redrawn", subsystems=touched
    )


def row(revision: Revision, key: str = "RLD-2", as_of: Any = None) -> CoverageRow:
    return next(one for one in coverage_of(revision, as_of=as_of).rows if one.target.key == key)


def said(revision: Revision, key: str = "RLD-2", as_of: Any = None) -> tuple[str, str]:
    found = row(revision, key, as_of)
    return found.state, found.reason


def subsystem(bench: Bench, key: str, *depends_on: str) -> Subsystem:
    return add_subsystem(
        actor=bench.actor, project=bench.project, key=key, name=key, kind="other", depends_on=depends_on
    )


def test_silence_is_not_evidence(bench: Bench, child: Revision) -> None:
    bench.target()
    bench.read("3.3")
    assert said(child) == ("never tried", "tried on A, but B records no changes")


def test_no_change_but_the_label_carries_everything_over(bench: Bench, child: Revision) -> None:
    bench.target()
    bench.read("3.3")
    change(bench, child)
    assert said(child) == (
        "carried over",
        "verified on A; no change since comes within two steps of RLD",
    )
    assert open_risks_of(child).rows == ()


def test_a_change_makes_stale_what_depends_on_it(bench: Bench, child: Revision) -> None:
    mcu, mem = subsystem(bench, "MCU", "RLD"), subsystem(bench, "MEM", "MCU")
    ui = subsystem(bench, "UI", "MEM")
    for key, home in [("T0", bench.subsystem), ("T1", mcu), ("T2", mem), ("T3", ui)]:
        bench.target(key, subsystem=home)
        bench.read("3.3", key)
    change(bench, child, bench.subsystem)
    assert [said(child, key) for key in ("T0", "T1", "T2", "T3")] == [
        ("stale", "verified on A; X of B touches RLD: weight 0"),
        ("stale", "verified on A; X of B touches RLD, one step from MCU: weight 0.5"),
        ("stale", "verified on A; X of B touches RLD, two steps from MEM: weight 0.8"),
        ("carried over", "verified on A; no change since comes within two steps of UI"),
    ]


def test_weights_multiply_over_two_revisions(bench: Bench, child: Revision) -> None:
    mcu = subsystem(bench, "MCU", "RLD")
    bench.target(subsystem=mcu)
    bench.read("3.3")
    grandchild = add_revision(actor=bench.actor, project=bench.project, label="C", parent=child)
    change(bench, child, bench.subsystem)
    change(bench, grandchild, bench.subsystem, key="Y")
    assert said(grandchild)[1].endswith("weight 0.25")


def test_a_reading_here_ends_the_inheritance(bench: Bench, child: Revision) -> None:
    bench.target()
    bench.read("9")
    change(bench, child, bench.subsystem, key="F-01")
    assert said(child) == ("stale", "failed on A; F-01 of B touches RLD: fix unproven")
    bench.extra_board("0002", child)
    bench.read("3.3", board="0002")
    assert said(child) == ("verified", "passes on 0002; 1 asked for")


def test_what_does_not_count_on_the_nearest_leaves_the_word_to_one_further_back(
    bench: Bench, child: Revision
) -> None:
    bench.target("RLD-1")
    bench.target(needs=["RLD-1"])
    bench.target("RLD-3")
    youngest = add_revision(actor=bench.actor, project=bench.project, label="C", parent=child)
    change(bench, child)
    change(bench, youngest)
    bench.extra_board("0002", child)
    bench.read("3.3")
    bench.read("3.31", "RLD-3")
    bench.read("9", "RLD-1", board="0002")
    bench.read("3.32", board="0002")
    bench.read("9", "RLD-3", board="0002")
    found = coverage_of(youngest)
    assert [one.state for one in found.rows] == ["failing", "carried over", "failing"]
    assert [one.path[-1].revision for one in found.rows] == ["B", "A", "B"]
    # The past day is read from the history of all ancestors at once: a second route to the same rows.
    past = coverage_of(youngest, as_of=timezone.localdate())
    assert [(one.state, one.reason, one.path) for one in past.rows] == [
        (one.state, one.reason, one.path) for one in found.rows
    ]


def test_a_failure_nobody_touched_is_inherited_and_a_risk(bench: Bench, child: Revision) -> None:
    bench.target()
    bench.read("9")
    change(bench, child)
    state, reason = said(child)
    assert (state, reason.split(";")[0]) == (
        "failing",
        "inherited from A: 0001: 9 V fail (limits 3.234..3.366 V)",
    )
    assert [one.kind for one in open_risks_of(child).rows] == ["failing"]


def repair(bench: Bench, key: str = "RW-1") -> Rework:
    return record_rework(
        actor=bench.actor, board=bench.board, key=key, kind="part swap", intent="repair", what="R5",
        subsystems=[bench.subsystem], in_force_from=timezone.now(),
    )  # fmt: skip


def test_a_rework_folded_in_is_half_worth_until_read_here(bench: Bench, child: Revision) -> None:
    bench.target()
    bench.read("9")
    rework = repair(bench)
    bench.read("3.3")
    fix = change(bench, child, bench.subsystem, key="F-01")
    assert said(child)[1] == "failed on A; F-01 of B touches RLD: fix unproven"
    fold_in_rework(actor=bench.actor, change=fix, rework=rework)
    assert said(child) == ("stale", "verified on A with RW-1 of 0001, since folded in: weight 0.5")
    risk = open_risks_of(child).rows[0]
    assert (risk.kind, risk.probability_basis[:6]) == ("stale", "0.5 × ")


def test_a_second_rework_that_is_not_folded_in_spoils_the_reading(bench: Bench, child: Revision) -> None:
    bench.target()
    bench.read("9")
    rework = repair(bench)
    repair(bench, "RW-2")
    bench.read("3.3")
    fold_in_rework(actor=bench.actor, change=change(bench, child, bench.subsystem, key="F-01"), rework=rework)
    assert said(child)[1] == "failed on A; F-01 of B touches RLD: fix unproven"


def test_an_argument_carries_a_stale_word_over_until_withdrawn(bench: Bench, child: Revision) -> None:
    target = bench.target()
    bench.read("3.3")
    change(bench, child, bench.subsystem)
    carried = carry_over(
        actor=bench.actor, revision=child, target=target, argument="only silk screen", by="wh"
    )
    assert said(child) == ("carried over", "verified on A; carried over by wh: only silk screen")
    with pytest.raises(InvalidInputError, match="already carried over"):
        carry_over(actor=bench.actor, revision=child, target=target, argument="again")
    withdraw_carry_over(actor=bench.actor, carried=carried, because="copper moved")
    assert said(child)[0] == "stale"
    with pytest.raises(ConflictError):
        withdraw_carry_over(actor=bench.actor, carried=carried, because="again")


def test_an_argument_lapses_when_a_later_change_comes_near(bench: Bench) -> None:
    mcu, far = subsystem(bench, "MCU", "RLD"), subsystem(bench, "FAR")
    with clock.standing_at(NOON):
        target = bench.target(subsystem=mcu)
        bench.read("3.3")
        child = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
        change(bench, child, mcu)
    with clock.standing_at(NOON + DAY):
        carry_over(actor=bench.actor, revision=child, target=target, argument="silk screen", by="wh")
    with clock.standing_at(NOON + 2 * DAY):
        change(bench, child, far, key="C1")
    assert said(child)[0] == "carried over"
    with clock.standing_at(NOON + 3 * DAY):
        later = change(bench, child, bench.subsystem, key="C2")
    state, reason = said(child)
    assert state == "stale"
    assert reason.startswith("verified on A; X of B touches MCU: weight 0; carried over by wh on 2024-03-02")
    assert reason.endswith(", no longer: change C2 of B touches RLD, one step from MCU")
    assert said(child, as_of=(NOON + 2 * DAY).date())[0] == "carried over"
    withdraw_change(actor=bench.actor, change=later, because="dropped")
    assert said(child)[0] == "carried over"


def test_an_argument_lapses_when_the_old_reading_is_no_longer_what_it_was(bench: Bench) -> None:
    with clock.standing_at(NOON):
        target = bench.target()
        bench.extra_board("0002")
        first = bench.read("3.3")
        bench.read("3.3", board="0002")
        child = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
        change(bench, child, bench.subsystem)
        carry_over(actor=bench.actor, revision=child, target=target, argument="silk screen", by="wh")
    assert said(child)[0] == "carried over"
    withdraw_measurement(actor=bench.actor, measurement=first, because="wrong probe")
    state, reason = said(child)
    assert state == "stale"
    assert reason.endswith(
        "carried over by wh on 2024-03-01, no longer: reading of RLD-2 on 0001 was withdrawn"
    )


def test_old_readings_are_judged_by_what_is_asked_here(bench: Bench, child: Revision) -> None:
    target = bench.target()
    bench.read("3.3")
    change(bench, child)
    higher = Asked(limits="3.31..3.4 V", meant_for=child)
    issue_target(actor=bench.actor, target=target, asked=higher, reason="r")
    assert (said(bench.revision)[0], said(child)[0]) == ("verified", "failing")
    warm = Asked(limits="3.2..3.4 V", conditions="warm", meant_for=child)
    issue_target(actor=bench.actor, target=target, asked=warm, reason="r")
    assert said(child) == (
        "stale",
        "on A only readings that do not count: 0001: issue 3 of the target changed more than its limits",
    )


def test_a_past_day_knows_only_the_changes_recorded_by_then(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target()
        bench.read("3.3")
        child = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    with clock.standing_at(NOON + DAY):
        first = change(bench, child)
    with clock.standing_at(NOON + 2 * DAY):
        change(bench, child, bench.subsystem, key="Y")
    with clock.standing_at(NOON + 3 * DAY):
        withdraw_change(actor=bench.actor, change=first, because="twice")
        withdraw_change(actor=bench.actor, change=Change.objects.get(key="Y"), because="dropped")
    days = [said(child, as_of=(NOON + number * DAY).date())[0] for number in range(4)]
    assert days == ["never tried", "carried over", "stale", "never tried"]
    assert said(child)[0] == "never tried"


def test_an_ancestors_reading_entered_later_is_counted(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target()
        child = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    with clock.standing_at(NOON + 5 * DAY):
        bench.read("3.3", taken_at=NOON)
    assert coverage_of(child, as_of=NOON.date()).entered_later == 1


@pytest.mark.parametrize("past", [False, True], ids=["today", "a past day"])
def test_today_from_the_history_is_today_as_kept(bench: Bench, child: Revision, past: bool) -> None:
    bench.target()
    bench.target("T2")
    bench.read("9")
    bench.read("3.3", "T2")
    fix = change(bench, child, bench.subsystem)
    fold_in_rework(actor=bench.actor, change=fix, rework=repair(bench))
    bench.read("3.3")
    day = timezone.localdate() if past else None
    assert [said(child, key, day) for key in ("RLD-2", "T2")] == [
        ("stale", "verified on A with RW-1 of 0001, since folded in: weight 0.5"),
        ("stale", "verified on A; X of B touches RLD: weight 0"),
    ]


def test_a_change_needs_a_parent_and_subsystems_of_its_own_project(bench: Bench, child: Revision) -> None:
    with pytest.raises(InvalidInputError, match="no parent"):
        change(bench, bench.revision)
    with pytest.raises(InvalidInputError, match="another project"):
        change(bench, child, build_bench("heron").subsystem)


@pytest.mark.parametrize("past", [False, True], ids=["today", "a past day"])
def test_its_cost_grows_neither_with_ancestors_nor_with_readings(
    bench: Bench, past: bool, django_assert_max_num_queries: Any
) -> None:
    revision, board = bench.revision, "0001"
    for depth in range(4):
        for number in range(5):
            bench.target(f"T{depth}-{number}")
        items = [ReadingInput("tern", board, "3.3", f"T{depth}-{n}", key=f"{depth}/{n}") for n in range(5)]
        record_readings(actor=bench.actor, items=items)
        revision = add_revision(actor=bench.actor, project=bench.project, label=f"B{depth}", parent=revision)
        change(bench, revision)
        board = f"1{depth}"
        bench.extra_board(board, revision)
        day = timezone.localdate() if past else None
        with django_assert_max_num_queries(42 if past else 22):
            coverage = coverage_of(revision, as_of=day)
        assert coverage.counts == {"carried over": 5 * (depth + 1)}


def test_a_state_leads_back_to_its_reading(bench: Bench, child: Revision) -> None:
    mcu = subsystem(bench, "MCU", "RLD")
    target = bench.target(subsystem=mcu)
    reading = bench.read("3.3")
    grandchild = add_revision(actor=bench.actor, project=bench.project, label="C", parent=child)
    change(bench, child, bench.subsystem)
    change(bench, grandchild, key="LABEL")
    first, second, last = state_path_of(grandchild, target)
    assert (first.revision, first.state, first.weight, first.changes) == ("C", "stale", 1.0, ())
    assert (second.revision, second.state, second.weight) == ("B", "", 0.5)
    assert (second.changes, second.way) == (("X",), ("MCU", "RLD"))
    assert (last.revision, last.state, last.readings[0].measurement) == ("A", "verified", reading.pk)
    assert row(grandchild).path == (first, second, last)


def test_a_state_of_its_own_readings_is_its_own_path(bench: Bench) -> None:
    target = bench.target()
    reading = bench.read("3.3")
    (only,) = state_path_of(bench.revision, target)
    assert (only.revision, only.state, only.readings[0].measurement) == ("A", "verified", reading.pk)
    assert row(bench.revision).path == ()
