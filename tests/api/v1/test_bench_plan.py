"""The next bench hour as a script asks for it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

PLAN = "projects/tern/revisions/A/bench-plan/"


def test_it_answers_as_the_contract_says(owner: Caller, bench: Bench):
    bench.target(points=("CH1",), values={"severity": "S2", "minutes": 20, "waiting_minutes": 30})
    body = owner.get(f"{PLAN}?minutes=60").json()
    assert (body["project"], body["revision"], body["boards"]) == ("tern", "A", ["0001"])
    assert (body["asked_minutes"], body["minutes"], body["waiting_minutes"], body["buys"]) == (
        60,
        20,
        30,
        10.0,
    )
    assert set(body["checks"][0]) == {
        "target", "board", "point", "minutes", "waiting_minutes", "buys", "reason",
        "stresses_board", "cautions",
    }  # fmt: skip
    assert [body["checks"][0][name] for name in ("target", "board", "point")] == ["RLD-2", "0001", "CH1"]
    assert body["left_out"] == []


def test_checks_come_in_the_order_to_do_them(owner: Caller, bench: Bench):
    bench.target("RAIL", values={"severity": "S5"})
    bench.target("CORE", needs=["RAIL"], values={"severity": "S1"})
    body = owner.get(f"{PLAN}?minutes=60").json()
    assert [one["target"] for one in body["checks"]] == ["RAIL", "CORE"]
    assert body["minutes"] == sum(one["minutes"] for one in body["checks"]) <= 60


def test_without_minutes_it_plans_an_hour(owner: Caller, bench: Bench):
    assert owner.get(PLAN).json()["asked_minutes"] == 60


def test_it_names_what_is_left_out(owner: Caller, bench: Bench):
    bench.target("RAIL")
    bench.target("CORE", needs=["RAIL"])
    bench.read("9", "RAIL")
    left_out = {one["target"]: one for one in owner.get(PLAN).json()["left_out"]}
    assert left_out["CORE"] == {
        "target": "CORE", "board": "0001", "point": "", "reason": "RAIL fails on board 0001",
    }  # fmt: skip


def test_boards_are_named_one_by_one(owner: Caller, bench: Bench):
    bench.extra_board("0002")
    bench.extra_board("0003")
    body = owner.get(f"{PLAN}?minutes=60&board=0003&board=0002").json()
    assert body["boards"] == ["0003", "0002"]


@pytest.mark.parametrize("minutes", ["0", "1441", "-5", "an hour", "60.5", ""])
def test_it_refuses_minutes_that_are_none(owner: Caller, bench: Bench, minutes: str):
    problem = problem_of(owner.get(f"{PLAN}?minutes={minutes}"), 400)
    assert [(one["field"], one["allowed"]) for one in problem["problems"]] == [("minutes", "1 to 1440")]


def test_it_refuses_a_board_of_no_such_serial_and_names_those_there_are(owner: Caller, bench: Bench):
    problem = problem_of(owner.get(f"{PLAN}?board=0099"), 400)
    assert [(one["field"], one["given"], one["allowed"]) for one in problem["problems"]] == [
        ("board", "0099", "0001")
    ]


def test_it_refuses_a_parameter_it_does_not_know(owner: Caller, bench: Bench):
    problem_of(owner.get(f"{PLAN}?as_of=2024-01-01"), 400)


def test_it_knows_no_other_revision(owner: Caller, bench: Bench):
    problem_of(owner.get("projects/tern/revisions/Z/bench-plan/"), 404)


def test_a_stranger_finds_nothing(bench: Bench):
    problem_of(caller_for(bench.stranger).get(PLAN), 404)


def test_it_needs_as_many_queries_for_many_targets_as_for_few(
    owner: Caller, bench: Bench, django_assert_max_num_queries: Any
):
    for place in range(12):
        bench.target(f"RLD-{place}")
    with django_assert_max_num_queries(26):
        assert owner.get(PLAN).status_code == 200
