"""Rows of the risk list that follow from no target: findings, reworks, options."""

from __future__ import annotations

from logbook.boards.commands import record_change
from logbook.findings.commands import move_finding
from logbook.projects.commands import (
    add_option,
    add_revision,
    set_designed_position,
)
from tests.builders import Bench
from tests.planning.decisions import (
    child,
    finding,
    only,
    rework,
    rows,
)


def test_an_open_finding_and_its_targets_are_one_row(bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    bench.target("RLD-3")
    bench.read("9")
    finding(bench, "F-01", "RLD-2", severity="S4")
    first, second = rows(bench.revision)
    assert (first.kind, first.subject_kind, first.subject) == ("open finding", "finding", "F-01")
    assert (first.severity, first.targets) == ("S2", ("RLD-2",))
    assert first.reason == "LDO too warm; suspected; its target RLD-2 is failing"
    assert second.subject == "RLD-3"


def test_a_closed_finding_gives_its_targets_back(bench: Bench) -> None:
    bench.target()
    found = finding(bench, "F-01", "RLD-2")
    move_finding(actor=bench.actor, finding=found, to="no fault found", note="loose lead")
    assert [(row.kind, row.subject) for row in rows(bench.revision)] == [("never tried", "RLD-2")]


def test_a_finding_of_another_branch_is_not_listed(bench: Bench) -> None:
    finding(bench)
    other = add_revision(actor=bench.actor, project=bench.project, label="X")
    assert rows(other) == []
    assert [row.subject for row in rows(child(bench))] == ["F-01"]


def test_a_repair_no_change_folds_in_is_certain_to_come_back(bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    bench.read("3.3")
    made = rework(bench)
    found = next(row for row in rows(bench.revision) if row.subject_kind == "rework")
    assert (found.subject, found.probability, found.severity) == ("RW-01 of 0001", 1.0, "S2")
    next_one = child(bench)
    record_change(
        actor=bench.actor, revision=next_one, key="F", kind="BOM", what="68k drawn", folds_in=[made]
    )
    assert [row for row in rows(next_one) if row.subject_kind == "rework"] == []
    assert [row for row in rows(bench.revision) if row.subject_kind == "rework"] == []


def test_a_rework_that_brings_a_board_to_its_drawing_is_no_risk(bench: Bench) -> None:
    rework(bench, intent="to drawing")
    assert rows(bench.revision) == []


def test_an_option_without_a_position_is_open_until_it_has_one(bench: Bench) -> None:
    option = add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="supply pin",
        positions=[("out", ""), ("in", "")],
    )  # fmt: skip
    found = only(bench.revision)
    assert (found.kind, found.subject, found.probability) == ("option left open", "JP1", 0.25)
    set_designed_position(
        actor=bench.actor, revision=bench.revision, option=option, position=option.positions.get(name="out")
    )
    assert rows(bench.revision) == []
