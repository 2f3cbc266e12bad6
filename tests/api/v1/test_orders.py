"""Readiness and order records through the API."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.common import clock
from logbook.planning.models import Order
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

R = "projects/tern/revisions/A/"
ORDERS = f"{R}orders/"


def test_readiness_says_exactly_what_is_missing(owner: Caller, bench: Bench):
    bench.target(values={"severity": "S2"})
    answer = owner.get(f"{R}readiness/").json()
    assert (answer["ready"], answer["also_open"]) == (False, 0)
    (one,) = answer["missing"]
    assert one["target"] == "RLD-2"
    assert one["what"] == "High risk: RLD-2 invented target RLD-2"
    assert one["ground"] == "not decided"
    decided = {"rows": [{"target": "RLD-2"}], "decision": "change", "reason": "x"}
    owner.post(f"{R}dispositions/", decided)
    (one,) = owner.get(f"{R}readiness/").json()["missing"]
    assert one["ground"] == "decided to change, no change named"
    accepted = {"decision": "accept", "owner": "wh", "expires_with": "B"}
    owner.post(f"{R}dispositions/", decided | accepted)
    assert owner.get(f"{R}readiness/").json()["ready"] is True


@pytest.mark.parametrize("query", ["?as_of=soon", "?as_of=2999-01-01", "?day=2024-01-01"])
def test_a_day_that_cannot_be_is_refused(owner: Caller, bench: Bench, query: str):
    assert owner.get(f"{R}readiness/{query}").status_code == 400


def test_an_order_is_kept_with_its_answers(owner: Caller, bench: Bench):
    bench.target(values={"severity": "S2"})
    given: dict[str, Any] = {
        "decision": "go with conditions", "conditions": "legend checked by two", "name": "iv",
        "answers": [{"key": "legend", "answer": "no", "remark": "still to do"}], "files_sha256": "a" * 64,
    }  # fmt: skip
    answer = owner.post(ORDERS, given)
    assert answer.status_code == 201
    made = answer.json()
    assert (made["name"], made["ready"], made["ordered_on"]) == ("iv", False, None)
    assert made["missing"][0]["what"].startswith("High risk: RLD-2")
    day = clock.now().date().isoformat()
    placed = owner.post(f"{ORDERS}{made['number']}/placed/", {"ordered_on": day})
    assert placed.json()["ordered_on"] == day
    assert owner.get(R).json()["ordered_on"] == day
    assert [one["number"] for one in owner.get(ORDERS).json()["results"]] == [made["number"]]
    assert owner.post(f"{ORDERS}{made['number']}/placed/", {"ordered_on": day}).status_code == 409


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({}, "decision"),
        ({"decision": "yes"}, "decision"),
        ({"decision": "go", "files": [999]}, "files"),
        ({"decision": "go", "answers": [{"key": "weather", "answer": "yes"}]}, "answers"),
        ({"decision": "go", "answers": [{"key": "legend", "answer": "maybe"}]}, "answers"),
        ({"decision": "go", "files_sha256": "abc"}, "files_sha256"),
    ],
    ids=["nothing", "no such word", "no such file", "no such question", "no such answer", "no hash"],
)
def test_what_is_wrong_is_named(owner: Caller, bench: Bench, given: dict[str, Any], field: str):
    problem = problem_of(owner.post(ORDERS, given), 400)
    assert any(one["field"].startswith(field) for one in problem["problems"])
    assert not Order.objects.exists()


def test_a_reader_reads_and_a_stranger_finds_nothing(bench: Bench):
    reader, stranger = caller_for(bench.reader), caller_for(bench.stranger)
    assert reader.get(f"{R}readiness/").status_code == 200
    assert reader.post(ORDERS, {"decision": "go"}).status_code == 403
    for address in (f"{R}readiness/", ORDERS):
        assert stranger.get(address).status_code == 404


def test_the_bring_up_plan_names_stages_and_minutes(owner: Caller, bench: Bench):
    bench.target(values={"minutes": 5, "waiting_minutes": 60})
    plan = owner.get(f"{R}bring-up-plan/").json()
    assert (plan["minutes"], plan["waiting_minutes"]) == (5, 60)
    (stage,) = plan["stages"]
    assert stage["name"] == "RLD digital rails"
    assert [(one["target"], one["state"], one["cause"]) for one in stage["checks"]] == [
        ("RLD-2", "never tried", "open")
    ]


def test_go_with_something_missing_is_a_conflict_that_names_it(owner: Caller, bench: Bench):
    bench.target(values={"severity": "S2"})
    problem = problem_of(owner.post(ORDERS, {"decision": "go"}), 409)
    (one,) = problem["problems"]
    assert one["field"] == "although_missing"
    assert "RLD-2" in one["message"]
    assert owner.post(ORDERS, {"decision": "go", "although_missing": True}).status_code == 201
