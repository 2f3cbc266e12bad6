"""Findings: recorded, changed and moved through the API alone."""

from __future__ import annotations

from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench, build_bench

LIST = "projects/tern/findings/"
ONE = LIST + "F-01/"
NEW = {
    "title": "3.3 V reads low",
    "subsystem": "RLD",
    "found_on": "0001",
    "severity": "S2",
    "cause_family": "schematic",
    "targets": ["RLD-2"],
}


@pytest.fixture
def recorded(script: Caller, bench: Bench) -> dict[str, Any]:
    bench.target()
    response = script.post(LIST, NEW)
    assert response.status_code == 201, response.content
    body: dict[str, Any] = response.json()
    return body


def test_a_script_records_a_finding(recorded: dict[str, Any], bench: Bench) -> None:
    assert {name: recorded[name] for name in NEW} == NEW
    assert (recorded["key"], recorded["state"], recorded["boards"]) == ("F-01", "suspected", ["0001"])
    assert recorded["revisions"] == ["A"]
    assert recorded["recorded_by"] == bench.editor.username
    assert recorded["may_become"][0] == "reproduced"


def test_it_is_moved_until_a_reading_proves_it(
    script: Caller, bench: Bench, recorded: dict[str, Any]
) -> None:
    for state in ("reproduced", "understood", "decided", "in the files", "built"):
        assert script.post(ONE + "moves/", {"to": state, "note": "as said"}).status_code == 201
    reading = bench.read("3.3 V", expanded_uncertainty="1 mV")
    shown = script.post(ONE + "moves/", {"to": "proven", "measurement": reading.pk}).json()
    assert (shown["state"], shown["life"][-1]["measurement"]) == ("proven", reading.pk)
    assert shown["may_become"] == ["reproduced"]


def test_a_rework_and_its_finding_name_each_other(
    script: Caller, bench: Bench, recorded: dict[str, Any]
) -> None:
    assert recorded["reworks"] == []
    sent = {"board": "0001", "key": "RW-01", "kind": "wire link", "intent": "repair", "what": "wire over R4"}
    rework = script.post("projects/tern/reworks/", sent | {"subsystems": ["RLD"]}).json()
    assert rework["findings"] == []
    its_findings = f"projects/tern/reworks/{rework['id']}/findings/"
    for _ in range(2):
        linked = script.post(its_findings, {"finding": "F-01"})
        assert (linked.status_code, linked.json()["findings"]) == (201, ["F-01"])
    assert script.get("projects/tern/reworks/").json()["results"][0]["findings"] == ["F-01"]
    (told,) = script.get(ONE).json()["reworks"]
    assert (told["board"], told["key"], told["is_recheck_open"]) == ("0001", "RW-01", True)
    script.post(f"projects/tern/reworks/{rework['id']}/re-checks/", {"note": "no bridge"})
    assert script.get(ONE).json()["reworks"][0]["is_recheck_open"] is False
    assert "'F-99'" in problem_of(script.post(its_findings, {"finding": "F-99"}), 400)["detail"]


@pytest.mark.parametrize(
    ("move", "status", "said"),
    [
        ({"to": "built"}, 409, "it may become reproduced, understood"),
        ({"to": "mended"}, 400, "to"),
        ({"to": "not ours"}, 400, "note"),
        ({"to": "duplicate", "note": "x", "duplicate_of": "F-99"}, 400, "duplicate_of"),
        ({"to": "reproduced", "measurement": 999_999}, 400, "measurement"),
        ({"to": "reproduced", "at": "2999-01-01T00:00:00Z"}, 400, "at"),
    ],
    ids=["a jump", "no such state", "without a reason", "of nothing", "no such reading", "in the future"],
)
def test_it_says_which_step_is_allowed(
    script: Caller, recorded: dict[str, Any], move: dict[str, Any], status: int, said: str
) -> None:
    problem = problem_of(script.post(ONE + "moves/", move), status)
    assert said in problem["detail"] + str([one["field"] for one in problem["problems"]])


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"state": "proven"}, "state"),
        ({"key": "F-02"}, "key"),
        ({"boards": ["0009"]}, "boards"),
        ({"targets": ["X-1"]}, "targets"),
        ({"revisions": ["Z"]}, "revisions"),
        ({"subsystem": "Z"}, "subsystem"),
        ({"severity": "S9"}, "severity"),
        ({"x": 0.5}, "side"),
    ],
)
def test_it_names_what_cannot_be_changed(
    script: Caller, recorded: dict[str, Any], change: dict[str, Any], field: str
) -> None:
    problem = problem_of(script.patch(ONE, change), 400)
    assert [one["field"] for one in problem["problems"]] == [field]


def test_it_changes_what_is_said(script: Caller, bench: Bench, recorded: dict[str, Any]) -> None:
    bench.extra_board("0002")
    change = {"workaround": "load it less", "boards": ["0001", "0002"], "side": "top", "x": 0.25, "y": 0.5}
    assert script.patch(ONE, change).status_code == 200
    shown = script.get(ONE).json()
    assert {name: shown[name] for name in change} == change


@pytest.mark.parametrize(
    ("query", "count"),
    [("", 1), ("?state=open", 1), ("?state=proven", 0), ("?board=0001", 1), ("?target=RLD-3", 0)],
)
def test_the_list_is_filtered(script: Caller, recorded: dict[str, Any], query: str, count: int) -> None:
    assert len(script.get(LIST + query).json()["results"]) == count


def test_the_list_costs_the_same_however_long(
    script: Caller, recorded: dict[str, Any], django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(6):
        script.post(LIST, NEW)
    with django_assert_max_num_queries(8):
        assert len(script.get(LIST).json()["results"]) == 7


def test_readers_read_and_strangers_find_nothing(bench: Bench, recorded: dict[str, Any]) -> None:
    build_bench("gull")
    reader, stranger = caller_for(bench.reader), caller_for(bench.stranger)
    assert reader.get(ONE).status_code == 200
    problem_of(reader.post(ONE + "moves/", {"to": "reproduced"}), 403)
    problem_of(reader.patch(ONE, {"title": "x"}), 403)
    problem_of(reader.post(LIST, NEW), 403)
    for address in (LIST, ONE):
        problem_of(stranger.get(address), 404)


def test_a_token_for_reading_moves_nothing(bench: Bench, recorded: dict[str, Any]) -> None:
    caller = caller_for(bench.editor, "read")
    problem_of(caller.post(ONE + "moves/", {"to": "reproduced"}), 403)
