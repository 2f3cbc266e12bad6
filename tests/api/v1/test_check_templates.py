"""Check templates through the API: the library, and targets made from it."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.bench.check_templates import library
from logbook.bench.models import Target
from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

LIBRARY = "check-templates/"
ADD = "projects/tern/targets/from-templates/"


def picks(*given: dict[str, Any]) -> dict[str, Any]:
    return {"picks": [{"subsystem": "RLD"} | one for one in given]}


def test_it_lists_the_library_with_where_limits_come_from(owner: Caller) -> None:
    body = owner.get(LIBRARY).json()
    assert (len(body["results"]), body["next_after"]) == (len(library()), None)
    ripple = next(one for one in body["results"] if one["key"] == "R04")
    assert (ripple["limits"], ripple["basis"], ripple["basis_note"]) == (
        "<= 1 %",
        "judgement",
        "common practice",
    )
    assert (ripple["kind"], ripple["needs"]) == ("power", ["R01"])


@pytest.mark.parametrize(
    ("query", "keys"),
    [
        ("kind=converter", ["A01", "A02", "A03", "A04"]),
        ("kind=EMC", ["Z01", "Z02", "Z03", "Z04", "Z04b"]),
        ("text=ripple", ["R04"]),
        ("kind=memory&text=ripple", []),
    ],
)
def test_it_filters_the_library(owner: Caller, query: str, keys: list[str]) -> None:
    found = owner.get(f"{LIBRARY}?{query}").json()["results"]
    assert sorted(one["key"] for one in found) == keys


@pytest.mark.parametrize(("query", "field"), [("kind=plumbing", "kind"), ("sort=key", "sort")])
def test_it_refuses_an_unknown_filter(owner: Caller, query: str, field: str) -> None:
    problem = problem_of(owner.get(f"{LIBRARY}?{query}"), 400)
    assert [one["field"] for one in problem["problems"]] == [field]


def test_it_adds_targets_in_dependency_order_and_wires_them(owner: Caller) -> None:
    response = owner.post(
        ADD,
        picks(
            {"template": "R04"}, {"template": "R01", "key": "RLD-2", "nominal": "3.3 V", "points": ["a", "b"]}
        ),
    )
    assert response.status_code == 201, response.content
    rail, ripple = response.json()["added"]
    assert (rail["target"]["key"], rail["missing"]) == ("RLD-2", ["P02"])
    assert (rail["target"]["issue"]["low"], rail["target"]["issue"]["points"]) == (3.234, ["a", "b"])
    assert (ripple["template"], ripple["wired"]) == ("R04", ["RLD-2"])
    assert ripple["target"]["prerequisites"] == ["RLD-2"]
    assert ripple["target"]["issue"]["basis_note"] == "common practice, from template R04"


@pytest.mark.parametrize(
    ("limits", "high", "unit"),
    [("<= 30 mVpp", 30, "mVpp"), ({"high": 2}, 2, "%"), ({"low": None, "high": "30 mVpp"}, 30, "mVpp")],
    ids=str,
)
def test_own_limits_are_text_or_bounds(owner: Caller, limits: Any, high: float, unit: str) -> None:
    response = owner.post(ADD, picks({"template": "R04", "limits": limits}))
    assert response.status_code == 201, response.content
    issue = response.json()["added"][0]["target"]["issue"]
    assert (issue["high"], issue["unit"], issue["basis"]) == (high, unit, "judgement")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"template": "R99"}, "picks.1.template"),
        ({"template": "R04", "subsystem": "NO"}, "picks.1.subsystem"),
        ({"template": "R01"}, "picks.1.nominal"),
        ({"template": "R06b"}, "picks.1.limits"),
        ({"template": "R04", "limits": {"low": 3, "high": 2}}, "picks.1.limits"),
        ({"template": "R07", "limits": {"high": "2 kg"}}, "picks.1.limits"),
        ({"template": "R04", "key": "RLD-U01"}, "picks.1.key"),
        ({"template": "R04", "colour": "red"}, "picks.1.colour"),
        ({"template": "R04", "minutes": -1}, "picks.1.minutes"),
    ],
    ids=str,
)
def test_a_wrong_pick_adds_nothing_and_its_field_is_named(
    owner: Caller, given: dict[str, Any], field: str
) -> None:
    problem = problem_of(owner.post(ADD, picks({"template": "U01"}, given)), 400)
    assert [one["field"] for one in problem["problems"]] == [field]
    assert not Target.objects.exists()


@pytest.mark.parametrize("body", [{}, {"picks": []}, {"picks": {}}, [], {"picks": [3]}], ids=str)
def test_a_body_without_picks_is_refused(owner: Caller, body: Any) -> None:
    problem_of(owner.post(ADD, body), 400)


def test_the_same_request_again_is_refused(owner: Caller) -> None:
    owner.post(ADD, picks({"template": "U01"}))
    problem = problem_of(owner.post(ADD, picks({"template": "U01"})), 400)
    assert [(one["field"], one["code"]) for one in problem["problems"]] == [("picks.0.key", "taken")]
    assert Target.objects.count() == 1


@pytest.mark.parametrize(("role", "status"), [("editor", 201), ("reader", 403), ("stranger", 404)])
def test_it_asks_for_the_role(bench: Bench, role: str, status: int) -> None:
    caller = caller_for(getattr(bench, role))
    assert caller.get(LIBRARY).status_code == 200
    assert caller.post(ADD, picks({"template": "U01"})).status_code == status


def test_a_bench_script_may_read_but_not_add(script: Caller) -> None:
    assert script.get(LIBRARY).status_code == 200
    problem_of(script.post(ADD, picks({"template": "U01"})), 403)
    problem_of(Caller("").get(LIBRARY), 401)
