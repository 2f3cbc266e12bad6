"""The next bench hour of the demo: board 0006 in the middle of its bring-up."""

from __future__ import annotations

import pytest

from logbook.bench.models import CurrentResult, Prerequisite
from logbook.planning.queries import RevisionBenchPlan, bench_plan_of
from logbook.projects.models import Revision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]

PASSING = {"pass", "conditional pass"}


@pytest.fixture
def plan() -> RevisionBenchPlan:
    revision = Revision.objects.select_related("project").get(project__slug="saltlark", label="C")
    return bench_plan_of(revision, minutes=90, serials=["0006"])


def test_it_takes_the_minutes_of_its_checks_and_no_more_than_there_are(plan: RevisionBenchPlan) -> None:
    assert plan.minutes == sum(line.minutes for line in plan.lines) <= 90


def test_it_proposes_the_memory_soak_because_its_walk_passes_there(plan: RevisionBenchPlan) -> None:
    walk = CurrentResult.objects.get(target__key="MEM-4", board__serial="0006")
    assert walk.found_verdict == "pass"
    assert "MEM-5" in [line.target.key for line in plan.lines]


def test_nothing_stands_behind_a_failing_or_untried_prerequisite(plan: RevisionBenchPlan) -> None:
    done: set[str] = set()
    rows = CurrentResult.objects.filter(board__serial="0006", project=plan.revision.project)
    passing = {row.target_id for row in rows if row.found_verdict in PASSING}
    for line in plan.lines:
        for one in Prerequisite.objects.filter(target=line.target).select_related("needs"):
            assert one.needs_id in passing or one.needs.key in done, f"{line.target} before {one.needs}"
        done.add(line.target.key)


def test_the_only_board_of_the_revision_is_not_stressed(plan: RevisionBenchPlan) -> None:
    assert not any(line.target.stresses_board for line in plan.lines)
    assert {"COM-7", "MEC-5", "EMC-2"} == {one.target for one in plan.spared}


def test_what_fails_on_the_revision_is_left_out_and_named(plan: RevisionBenchPlan) -> None:
    reasons = {one.target: one.reason for one in plan.left_out}
    assert reasons["CLK-7"].startswith("failing")


def test_the_reference_board_is_not_stressed() -> None:
    revision = Revision.objects.select_related("project").get(project__slug="saltlark", label="B")
    plan = bench_plan_of(revision, minutes=480, serials=["0003"])
    assert plan.lines
    assert not any(line.target.stresses_board for line in plan.lines)
