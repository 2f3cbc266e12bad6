"""Lessons: recorded, moved, answered and turned into targets through the API alone."""

from __future__ import annotations

from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.projects.commands import add_revision
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench, build_bench

LIST = "lessons/"
ONE = LIST + "TERN-L1/"
OFFERED = "projects/tern/revisions/A/lessons/"
NEW = {
    "project": "tern",
    "rule": "compute dividers as fitted",
    "discipline": "circuit",
    "moment": "drawing a sheet",
    "firmness": "must",
    "subsystem_kinds": ["power"],
}
ANSWER = {"project": "tern", "revision": "A", "answer": "heeded", "text": "R21, R22 computed"}


@pytest.fixture
def recorded(owner: Caller) -> dict[str, Any]:
    response = owner.post(LIST, NEW)
    assert response.status_code == 201, response.content
    body: dict[str, Any] = response.json()
    return body


def test_it_is_accepted_and_kept_in_its_project_where_nothing_else_is_said(
    recorded: dict[str, Any], bench: Bench
) -> None:
    assert {name: recorded[name] for name in NEW} == NEW
    assert (recorded["key"], recorded["state"], recorded["shared"]) == ("TERN-L1", "accepted", False)
    assert recorded["recorded_by"] == bench.owner.username
    assert [step["state"] for step in recorded["life"]] == ["accepted"]


def test_it_is_found_by_key_and_by_number(owner: Caller, recorded: dict[str, Any]) -> None:
    assert owner.get(ONE).json() == owner.get(f"{LIST}{recorded['id']}/").json() == recorded


def test_a_revision_is_asked_and_answers(owner: Caller, recorded: dict[str, Any]) -> None:
    before = owner.get(OFFERED).json()
    assert (before["counts"], before["rows"][0]["why"]) == ({"unanswered": 1}, "RLD is of the kind power")
    answered = owner.post(ONE + "answers/", ANSWER)
    assert answered.status_code == 201
    assert {name: answered.json()[name] for name in ANSWER} == ANSWER
    (row,) = owner.get(OFFERED).json()["rows"]
    assert (row["answer"], row["text"], row["change"]) == ("heeded", "R21, R22 computed", None)
    assert [one["id"] for one in owner.get(ONE + "answers/").json()["results"]] == [answered.json()["id"]]


def test_to_do_becomes_a_change(owner: Caller, bench: Bench, recorded: dict[str, Any]) -> None:
    add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    change = {"kind": "BOM", "subsystems": ["RLD"]}
    given = ANSWER | {"revision": "B", "answer": "to do", "text": "0.1 % parts", "change": change}
    assert owner.post(ONE + "answers/", given).json()["change"] == "TERN-L1"
    shown = owner.get("projects/tern/revisions/B/changes/TERN-L1/").json()
    assert (shown["cause_kind"], shown["cause"], shown["subsystems"]) == ("lesson", "TERN-L1", ["RLD"])


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ("", 1),
        ("?moment=ordering", 0),
        ("?firmness=must&answer=unanswered", 1),
        ("?answer=heeded", 0),
        ("?as_of=2001-01-01", 0),
    ],
)
def test_what_is_asked_is_filtered(owner: Caller, recorded: dict[str, Any], query: str, count: int) -> None:
    assert len(owner.get(OFFERED + query).json()["rows"]) == count


@pytest.mark.parametrize(
    ("query", "count"),
    [("", 1), ("?state=standing", 1), ("?firmness=should", 0), ("?project=tern", 1), ("?text=DIVIDERS", 1)],
)
def test_the_list_is_filtered(owner: Caller, recorded: dict[str, Any], query: str, count: int) -> None:
    assert len(owner.get(LIST + query).json()["results"]) == count


@pytest.mark.parametrize("address", [LIST, OFFERED, ONE + "answers/"])
def test_unknown_filters_are_refused(owner: Caller, recorded: dict[str, Any], address: str) -> None:
    problem_of(owner.get(address + "?colour=red"), 400)


def test_it_is_superseded_by_a_newer_one(owner: Caller, recorded: dict[str, Any]) -> None:
    newer = owner.post(LIST, NEW | {"replaces": ["TERN-L1"]}).json()
    assert (newer["key"], newer["supersedes"]) == ("TERN-L2", ["TERN-L1"])
    old = owner.get(ONE).json()
    assert (old["state"], old["life"][-1]["superseded_by"]) == ("superseded", "TERN-L2")
    assert [row["key"] for row in owner.get(OFFERED).json()["rows"]] == ["TERN-L2"]


def test_a_proposal_is_accepted_and_withdrawn(owner: Caller, bench: Bench) -> None:
    owner.post(LIST, NEW | {"state": "proposed"})
    assert owner.patch(ONE, {"firmness": "should"}).json()["firmness"] == "should"
    assert owner.post(ONE + "moves/", {"to": "accepted"}).json()["state"] == "accepted"
    problem_of(owner.patch(ONE, {"firmness": "must"}), 409)
    gone = owner.post(ONE + "moves/", {"to": "withdrawn", "note": "the part was at fault"})
    assert gone.json()["life"][-1]["note"] == "the part was at fault"


@pytest.mark.parametrize(
    ("move", "status", "field"),
    [
        ({"to": "withdrawn"}, 400, "note"),
        ({"to": "superseded"}, 400, "superseded_by"),
        ({"to": "withdrawn", "note": "x", "superseded_by": "TERN-L1"}, 400, "superseded_by"),
        ({"to": "proposed"}, 400, "to"),
        ({"to": "accepted"}, 409, None),
    ],
    ids=str,
)
def test_it_says_which_step_does_not_fit(
    owner: Caller, recorded: dict[str, Any], move: dict[str, Any], status: int, field: str | None
) -> None:
    problem = problem_of(owner.post(ONE + "moves/", move), status)
    assert [one["field"] for one in problem["problems"]] == ([field] if field else [])


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"revision": "Z"}, "revision"),
        ({"answer": "maybe"}, "answer"),
        ({"text": ""}, "text"),
        ({"change": {"kind": "BOM"}}, "change"),
    ],
    ids=str,
)
def test_it_names_what_is_wrong_with_an_answer(
    owner: Caller, recorded: dict[str, Any], given: dict[str, Any], field: str
) -> None:
    problem = problem_of(owner.post(ONE + "answers/", ANSWER | given), 400)
    assert [one["field"] for one in problem["problems"]] == [field]


def test_its_check_becomes_a_target(owner: Caller, bench: Bench) -> None:
    check = {"name": "divider calculated", "limits": "yes", "minutes": 10}
    owner.post(LIST, NEW | {"check": check})
    made = owner.post(ONE + "targets/", {"project": "tern", "subsystem": "RLD"})
    assert (made.status_code, made.json()["target"]) == (201, "RLD-TERN-L1")
    assert owner.get("projects/tern/targets/RLD-TERN-L1/").json()["minutes"] == 10


def test_a_stranger_reads_only_what_is_shared_and_answers_for_nobody_else(
    owner: Caller, bench: Bench, recorded: dict[str, Any]
) -> None:
    gull = build_bench("gull")
    stranger = caller_for(gull.owner)
    owner.post(LIST, NEW)
    owner.patch(ONE, {"shared": True})
    assert [one["key"] for one in stranger.get(LIST).json()["results"]] == ["TERN-L1"]
    problem_of(stranger.get(LIST + "TERN-L2/"), 404)
    problem_of(stranger.post(LIST + "TERN-L2/answers/", ANSWER | {"project": "gull"}), 404)
    problem_of(stranger.post(ONE + "answers/", ANSWER), 404)
    problem_of(stranger.get(OFFERED), 404)
    problem_of(stranger.patch(ONE, {"cost": "x"}), 403)
    problem_of(stranger.post(ONE + "moves/", {"to": "withdrawn", "note": "x"}), 403)
    problem_of(stranger.post(LIST, NEW), 404)
    problem_of(stranger.post(LIST, NEW | {"project": "gull", "replaces": ["TERN-L1"]}), 403)
    owner.post(ONE + "answers/", ANSWER)
    assert stranger.get(ONE + "answers/").json()["results"] == []
    assert stranger.post(ONE + "answers/", ANSWER | {"project": "gull"}).status_code == 201


def test_readers_and_reading_tokens_write_nothing(bench: Bench, recorded: dict[str, Any]) -> None:
    for caller in (caller_for(bench.reader), caller_for(bench.editor, "read")):
        assert caller.get(ONE).status_code == 200
        problem_of(caller.post(LIST, NEW), 403)
        problem_of(caller.patch(ONE, {"cost": "x"}), 403)
        problem_of(caller.post(ONE + "answers/", ANSWER), 403)
        problem_of(caller.post(ONE + "targets/", {"project": "tern", "subsystem": "RLD"}), 403)


def test_the_lists_cost_the_same_however_long(
    owner: Caller, recorded: dict[str, Any], django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(5):
        owner.post(LIST, NEW)
    with django_assert_max_num_queries(4):
        assert len(owner.get(LIST).json()["results"]) == 6
    with django_assert_max_num_queries(9):
        assert len(owner.get(OFFERED).json()["rows"]) == 6
