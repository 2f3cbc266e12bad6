"""The bring-up plan of a revision: from states, changes and prerequisites."""

from __future__ import annotations

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.boards.commands import record_change
from logbook.planning.commands import RiskSubject, decide_risks
from logbook.planning.queries.bring_up import BringUpLine, bring_up_plan_of
from logbook.projects.commands import add_revision, add_subsystem
from logbook.projects.models import Revision
from tests.builders import Bench


@pytest.fixture
def later(bench: Bench) -> Revision:
    """Return revision B, whose one change touches the memory; A has read two rails and the memory."""
    memory = add_subsystem(actor=bench.actor, project=bench.project, key="MEM", name="memory", kind="memory")
    bench.target("RLD-2", values={"severity": "S3", "minutes": 5})
    bench.target("RLD-4", values={"severity": "S3", "minutes": 7})
    bench.target(
        "MEM-1", needs=["RLD-2"], subsystem=memory, points=["CH1", "CH2"],
        values={"minutes": 10, "waiting_minutes": 30, "cautions": "GH"},
    )  # fmt: skip
    for key in ("RLD-2", "RLD-4"):
        bench.read("3.30 V", key, expanded_uncertainty="1 mV")
    for point in ("CH1", "CH2"):
        bench.read("3.30 V", "MEM-1", point=point, expanded_uncertainty="1 mV")
    revision = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    record_change(
        actor=bench.actor, revision=revision, key="F-15", kind="layout", what="A9 and A10 uncrossed",
        subsystems=[memory],
    )  # fmt: skip
    return revision


def lines(revision: Revision) -> dict[str, BringUpLine]:
    return {line.target.key: line for stage in bring_up_plan_of(revision).stages for line in stage.lines}


def test_what_a_change_made_stale_is_in_with_what_it_needs(later: Revision) -> None:
    found = lines(later)
    assert list(found) == ["RLD-2", "MEM-1"]
    assert (found["RLD-2"].state, found["RLD-2"].cause) == ("carried over", "needed first by MEM-1")
    assert (found["MEM-1"].state, found["MEM-1"].changed_by) == ("stale", ("F-15",))


def test_minutes_count_every_point_and_cautions_stand_on_the_stage(later: Revision) -> None:
    plan = bring_up_plan_of(later)
    assert [(one.name, one.minutes, one.waiting_minutes, one.cautions) for one in plan.stages] == [
        ("RLD digital rails", 5, 0, ""),
        ("MEM memory", 20, 60, "GH"),
    ]
    assert (plan.minutes, plan.waiting_minutes) == (25, 60)


def test_a_rail_that_matters_is_read_again_on_every_new_board(bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    bench.read("3.30 V", expanded_uncertainty="1 mV")
    line = lines(bench.revision)["RLD-2"]
    assert (line.state, line.cause, line.always) == ("verified", "always on a new board", True)


def test_what_is_accepted_is_not_brought_up(bench: Bench) -> None:
    bench.target(values={"severity": "S4"})
    assert list(lines(bench.revision)) == ["RLD-2"]
    rows = [RiskSubject("target", "RLD-2")]
    decide_risks(
        actor=bench.actor, revision=bench.revision, rows=rows, decision="accept", owner="wh", reason="x",
        expires_with="B",
    )  # fmt: skip
    assert lines(bench.revision) == {}


def test_what_would_stress_the_only_board_waits_for_a_second_one(bench: Bench) -> None:
    bench.target("RLD-9", values={"stresses_board": True})
    bench.target("RLD-1")
    told = {key: line.not_yet for key, line in lines(bench.revision).items()}
    assert told == {
        "RLD-1": "",
        "RLD-9": "needs a second board of revision A, or the decision to test it first",
    }
    bench.extra_board("0002")
    assert lines(bench.revision)["RLD-9"].not_yet == ""


@pytest.mark.parametrize("count", [1, 30])
def test_the_number_of_queries_does_not_grow(
    bench: Bench, django_assert_max_num_queries: DjangoAssertNumQueries, count: int
) -> None:
    for number in range(count):
        bench.target(f"RLD-{number}")
    revision = Revision.objects.get(pk=bench.revision.pk)
    with django_assert_max_num_queries(22):
        assert len(bring_up_plan_of(revision).stages[0].lines) == count
