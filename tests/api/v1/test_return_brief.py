"""The return brief through the API."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from logbook.bench.commands import record_rework
from logbook.common import clock
from logbook.findings.commands import record_finding
from logbook.projects.commands import set_project_state, write_shelving_note
from logbook.projects.models import Project
from logbook.recall.return_brief import return_brief_of
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

BRIEF = "projects/tern/return-brief/"
# A project of one revision; each of its ancestors with readings adds some ten for all of them together.
MOST_QUERIES = 48


def test_it_shows_the_brief_as_the_contract_says(owner: Caller, bench: Bench):
    bench.target()
    bench.target("RLD-5", "<= 30 mVpp")
    bench.read("3.3 V")
    body = owner.get(BRIEF).json()
    assert (body["project"], body["revision"], body["as_of"]) == ("tern", "A", None)
    assert body["never_verified"] == ["RLD-5"]
    assert [one["cautions"] for one in body["first_steps"][:2]] == ["SC", "P"]
    assert body["first_steps"][2]["target"] == "RLD-5"
    assert len(body["first_steps"]) == 3
    assert all({"says", "mind", "board"} <= set(one) for one in body["first_steps"])


def test_it_gives_the_note_of_the_last_day(owner: Caller, bench: Bench):
    set_project_state(actor=bench.actor, project=bench.project, state="shelved")
    write_shelving_note(actor=bench.actor, project=bench.project, texts={"cells": "taken out"})
    body = owner.get(BRIEF).json()
    assert (body["state"], body["shelving_note"]["says"]) == ("shelved", {"cells": "taken out"})


@pytest.mark.parametrize("day", ["yesterday", "", "2999-01-01"])
def test_it_refuses_a_day_that_is_none_or_not_past(owner: Caller, bench: Bench, day: str):
    problem = problem_of(owner.get(f"{BRIEF}?as_of={day}"), 400)
    assert [one["field"] for one in problem["problems"]] == ["as_of"]


def test_before_anything_it_knows_nothing(owner: Caller, bench: Bench):
    body = owner.get(f"{BRIEF}?as_of=2000-01-01").json()
    assert (body["boards"], body["never_verified"], body["next_step"]) == ([], [], "")


def test_a_stranger_learns_nothing(bench: Bench):
    problem_of(caller_for(bench.stranger).get(BRIEF), 404)


def grow(bench: Bench, first: int, last: int) -> None:
    """Add boards, each with a rework, a target, a reading of it and a finding that names it."""
    for number in range(first, last):
        serial, key = f"1{number:03}", f"GRO-{number}"
        board = bench.extra_board(serial)
        target = bench.target(key)
        bench.read("5 V", key, board=serial)
        record_finding(
            actor=bench.actor, project=bench.project, key=f"F-{number}", title="low",
            subsystem=bench.subsystem, found_on=board, targets=[target], values={"severity": "S2"},
        )  # fmt: skip
        record_rework(
            actor=bench.actor, board=board, key=f"RW-{number}", kind="part swap", intent="repair", what="R5",
            subsystems=[bench.subsystem], in_force_from=timezone.now(),
        )  # fmt: skip


def test_its_queries_do_not_grow_with_boards_findings_and_readings(bench: Bench):
    grow(bench, 0, 2)
    with CaptureQueriesContext(connection) as few:
        return_brief_of(Project.objects.get(slug="tern"))
    grow(bench, 2, 12)
    with CaptureQueriesContext(connection) as many:
        brief = return_brief_of(Project.objects.get(slug="tern"))
    assert len(brief.boards) == 13
    assert len(many) == len(few)
    assert len(many) <= MOST_QUERIES


def test_a_past_day_asks_no_more_for_more_boards(bench: Bench):
    day = timezone.localdate()
    grow(bench, 0, 2)
    with clock.standing_at(timezone.now() + timedelta(days=2)), CaptureQueriesContext(connection) as few:
        return_brief_of(Project.objects.get(slug="tern"), as_of=day)
    grow(bench, 2, 12)
    with clock.standing_at(timezone.now() + timedelta(days=2)), CaptureQueriesContext(connection) as many:
        brief = return_brief_of(Project.objects.get(slug="tern"), as_of=day)
    assert len(brief.boards) == 13
    assert len(many) == len(few)


def test_the_answer_adds_only_who_asks(owner: Caller, bench: Bench, django_assert_max_num_queries):
    grow(bench, 0, 3)
    with django_assert_max_num_queries(MOST_QUERIES + 5):
        assert owner.get(BRIEF).status_code == 200
