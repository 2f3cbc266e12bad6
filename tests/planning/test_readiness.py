"""Readiness to order: derived from the open risks, the decisions on them and the lessons asked."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.common import clock
from logbook.lessons.commands import answer_lesson, record_lesson
from logbook.lessons.models import Lesson
from logbook.planning.commands import RiskSubject, decide_risks
from logbook.planning.queries import readiness_of
from logbook.projects.commands import add_change, add_revision, describe_change
from logbook.projects.models import Revision
from tests.builders import Bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)


def grounds(revision: Revision) -> list[tuple[str, str]]:
    return [(one.gap.subject, str(one.gap.ground)) for one in readiness_of(revision).missing]


def decide(bench: Bench, decision: str, *, revision: Revision | None = None, **given: Any) -> None:
    rows = [RiskSubject("target", "RLD-2")]
    decide_risks(
        actor=bench.actor, revision=revision or bench.revision, rows=rows, decision=decision, **given
    )


def must(bench: Bench) -> Lesson:
    return record_lesson(
        actor=bench.actor, project=bench.project, key="TRN-L1", rule="Check every library pin-out",
        values={"firmness": "must", "always": True, "discipline": "library", "moment": "ordering"},
    )  # fmt: skip


def test_what_was_never_tried_is_missing_until_it_is_decided(bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    assert grounds(bench.revision) == [("RLD-2", "not decided")]
    decide(bench, "accept", owner="wh", reason="links in place", expires_with="B")
    assert readiness_of(bench.revision).ready


def test_a_change_is_missing_until_it_is_in_the_files(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target(values={"severity": "S2"})
        later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
        decide(bench, "change", revision=later)
        assert grounds(later) == [("RLD-2", "decided to change, no change named")]
        change = add_change(
            actor=bench.actor,
            revision=later,
            key="F-01",
            kind="schematic",
            what="another part",
            subsystems=[],
        )
        decide(bench, "change", revision=later, change=change)
    (one,) = readiness_of(later).missing
    assert (one.gap.ground, one.gap.reason) == (
        "decided to change, not in the files",
        "change F-01 of B, decided for it, is only planned, not in the files",
    )
    describe_change(actor=bench.actor, change=change, values={"state": "in the files"})
    assert readiness_of(later).ready
    assert not readiness_of(later, as_of=NOON.date()).ready


def test_a_change_of_a_later_revision_is_missing_on_this_one(bench: Bench) -> None:
    bench.target(values={"severity": "S2"})
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    change = add_change(
        actor=bench.actor, revision=later, key="F-01", kind="schematic", what="another part", subsystems=[]
    )
    decide(bench, "change", change=change)
    (one,) = readiness_of(bench.revision).missing
    assert one.gap.reason == "change F-01 of B, decided for it, is not of A, which is ordered without it"


def test_test_first_is_missing_until_it_is_read(bench: Bench) -> None:
    bench.target(values={"severity": "S2"}, boards_needed=2)
    decide(bench, "test first")
    assert grounds(bench.revision) == [("RLD-2", "test first, not read yet")]
    bench.read("3.30 V", expanded_uncertainty="1 mV")
    assert grounds(bench.revision) == []


def test_a_nuisance_is_open_but_not_in_the_way(bench: Bench) -> None:
    bench.target(values={"severity": "S4"})
    found = readiness_of(bench.revision)
    assert found.ready
    assert [row.subject for row in found.also_open] == ["RLD-2"]


def test_an_acceptance_that_ended_is_missing_whatever_its_level(bench: Bench) -> None:
    bench.target(values={"severity": "S4"})
    decide(bench, "accept", owner="wh", reason="runs cool", expires_with="B")
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    assert readiness_of(bench.revision).ready
    (one,) = readiness_of(later).missing
    assert (one.gap.ground, one.gap.reason) == (
        "acceptance lapsed",
        "accepted by wh until revision B, which is here",
    )
    assert one.row is not None


def test_an_unanswered_must_is_missing_until_it_is_answered(bench: Bench) -> None:
    lesson = must(bench)
    assert grounds(bench.revision) == [("TRN-L1", "lesson not answered")]
    answer_lesson(
        actor=bench.actor, revision=bench.revision, lesson=lesson, answer="heeded", text="compared by two"
    )
    assert readiness_of(bench.revision).ready


def test_a_past_day_knows_the_decisions_of_then(bench: Bench) -> None:
    with clock.standing_at(NOON):
        bench.target(values={"severity": "S2"})
    with clock.standing_at(NOON + timedelta(days=2)):
        decide(bench, "accept", owner="wh", reason="links in place", expires_with="B")
    assert not readiness_of(bench.revision, as_of=NOON.date()).ready
    assert readiness_of(bench.revision, as_of=(NOON + timedelta(days=3)).date()).ready


@pytest.mark.parametrize("count", [1, 30])
def test_the_number_of_queries_does_not_grow(
    bench: Bench, django_assert_max_num_queries: DjangoAssertNumQueries, count: int
) -> None:
    """Where a revision stands: nine; its risks: some sixteen; its lessons: four."""
    for number in range(count):
        bench.target(f"RLD-{number}")
    revision = Revision.objects.get(pk=bench.revision.pk)
    with django_assert_max_num_queries(17):
        assert len(readiness_of(revision).missing) == count
