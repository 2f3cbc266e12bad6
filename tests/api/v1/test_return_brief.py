"""The return brief through the API."""

from __future__ import annotations

import pytest

from logbook.projects.commands import set_project_state, write_shelving_note
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

BRIEF = "projects/tern/return-brief/"


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


def test_it_costs_the_same_for_many_boards(owner: Caller, bench: Bench, django_assert_max_num_queries):
    bench.target()
    for number in range(2, 9):
        bench.extra_board(f"{number:04}")
        bench.read("3.3 V", board=f"{number:04}")
    with django_assert_max_num_queries(100):
        assert owner.get(BRIEF).status_code == 200
