"""Changes of a revision and carry-overs, written and read back through the API alone."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.bench.commands import record_rework
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

B = "projects/tern/revisions/B/"


@pytest.fixture
def child(owner: Caller, bench: Bench) -> Caller:
    """Return the owner, with a verified target on A and a revision B that descends from it."""
    bench.target()
    bench.read("3.3")
    owner.post("projects/tern/revisions/", {"label": "B", "parent": "A"})
    return owner


def change(**given: Any) -> dict[str, Any]:
    return {"key": "F-01", "kind": "schematic", "what": "divider 68k over 15k"} | given


def state(caller: Caller) -> tuple[str, str]:
    (row,) = caller.get(f"{B}coverage/").json()["rows"]
    return row["state"], row["reason"]


def test_a_recorded_change_decides_what_the_old_readings_are_worth(child: Caller):
    assert state(child) == ("never tried", "tried on A, but B records no changes")
    answer = child.post(
        f"{B}changes/", change(subsystems=["RLD"], why="low", cause_kind="finding", cause="F-01")
    )
    assert answer.status_code == 201
    body = answer.json()
    assert (body["subsystems"], body["state"], body["cause"]) == (["RLD"], "planned", "F-01")
    assert body == child.get(f"{B}changes/F-01/").json()
    assert [one["key"] for one in child.get(f"{B}changes/").json()["results"]] == ["F-01"]
    assert state(child) == ("stale", "verified on A; F-01 of B touches RLD: weight 0")


def test_no_change_but_the_label_carries_over(child: Caller):
    child.post(f"{B}changes/", change(key="LABEL", what="no change but the label"))
    assert state(child)[0] == "carried over"


def test_what_is_said_of_a_change_may_change_but_not_what_it_touches(child: Caller):
    child.post(f"{B}changes/", change())
    body = child.patch(f"{B}changes/F-01/", {"state": "built", "what": "as built"}).json()
    assert (body["state"], body["what"]) == ("built", "as built")
    problem = problem_of(child.patch(f"{B}changes/F-01/", {"subsystems": ["RLD"]}), 400)
    assert problem["problems"][0]["field"] == "subsystems"


def test_a_withdrawn_change_touches_nothing_and_its_key_is_free_again(child: Caller):
    child.post(f"{B}changes/", change(subsystems=["RLD"]))
    body = child.post(f"{B}changes/F-01/withdraw/", {"because": "dropped"}).json()
    assert (body["withdrawn_because"], body["withdrawn_at"] is None) == ("dropped", False)
    assert state(child)[0] == "never tried"
    assert child.get(f"{B}changes/F-01/").status_code == 404
    assert child.post(f"{B}changes/", change()).status_code == 201


def test_a_change_folds_reworks_in(child: Caller, bench: Bench):
    record_rework(
        actor=bench.actor, board=bench.board, key="RW-1", kind="part swap", intent="repair", what="R5",
        subsystems=[bench.subsystem],
    )  # fmt: skip
    folded = [{"board": "0001", "rework": "RW-1"}]
    body = child.post(f"{B}changes/", change(subsystems=["RLD"], folds_in=folded)).json()
    assert body["folds_in"] == folded


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"kind": "magic"}, "kind"),
        ({"what": ""}, "what"),
        ({"subsystems": ["XYZ"]}, "subsystems"),
        ({"key": "two words"}, "key"),
        ({"folds_in": [{"board": "0001", "rework": "RW-9"}]}, "rework"),
        ({"state": "done"}, "state"),
        ({"recorded_at": "2020-01-01T00:00:00Z"}, "recorded_at"),
    ],
)
def test_a_wrong_change_is_refused_by_field_and_stores_nothing(
    child: Caller, given: dict[str, Any], field: str
):
    problem = problem_of(child.post(f"{B}changes/", change(**given)), 400)
    assert [one["field"] for one in problem["problems"]] == [field]
    assert child.get(f"{B}changes/").json()["results"] == []


def test_the_first_revision_has_nothing_to_be_changed_against(child: Caller):
    assert problem_of(child.post("projects/tern/revisions/A/changes/", change()), 400)


def test_a_carry_over_needs_an_argument_and_names_who_vouches(child: Caller):
    child.post(f"{B}changes/", change(subsystems=["RLD"]))
    body = child.post(f"{B}carry-overs/", {"target": "RLD-2", "argument": "only silk screen"}).json()
    assert body["by"] == "owner-tern"
    assert state(child)[1] == "verified on A; carried over by owner-tern: only silk screen"
    assert [one["target"] for one in child.get(f"{B}carry-overs/").json()["results"]] == ["RLD-2"]
    child.post(f"{B}carry-overs/RLD-2/withdraw/", {"because": "copper moved"})
    assert state(child)[0] == "stale"
    assert child.get(f"{B}carry-overs/").json()["results"] == []


@pytest.mark.parametrize(
    ("given", "field"),
    [({"argument": ""}, "argument"), ({"target": "XYZ-1"}, "target")],
    ids=["empty", "unknown"],
)
def test_a_wrong_carry_over_is_refused_by_field(child: Caller, given: dict[str, Any], field: str):
    body = {"target": "RLD-2", "argument": "same copper"} | given
    problem = problem_of(child.post(f"{B}carry-overs/", body), 400)
    assert [one["field"] for one in problem["problems"]] == [field]


@pytest.mark.parametrize("address", ["changes/", "carry-overs/"])
def test_readers_may_look_and_strangers_learn_nothing(child: Caller, bench: Bench, address: str):
    reader = caller_for(bench.reader)
    assert reader.get(B + address).status_code == 200
    assert reader.post(B + address, change()).status_code == 403
    assert caller_for(bench.stranger).get(B + address).status_code == 404
