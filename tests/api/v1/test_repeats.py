"""Repeated readings through the API: values in, mean, scatter and values out."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.callers import Caller, problem_of
from tests.builders import Bench

ADDRESS = "measurements/"


def sent(**more: Any) -> dict[str, Any]:
    return {"project": "tern", "board": "0001", "target": "RLD-2", "unit": "V", **more}


@pytest.fixture(autouse=True)
def _asked(bench: Bench) -> None:
    bench.target()


def test_the_value_may_be_left_out_with_repeats(script: Caller):
    answer = script.post(ADDRESS, sent(repeats=[3.298, "3.302", "3301 mV"]))
    body = answer.json()
    assert answer.status_code == 201
    assert (body["repeats"], body["unit"]) == ([3.298, 3.302, 3.301], "V")
    assert body["value"] == pytest.approx(9.901 / 3)
    assert (body["uncertainty_from"], body["degrees_of_freedom"]) == ("repeats", 2)


def test_the_list_shows_the_repeats(script: Caller):
    script.post(ADDRESS, sent(value=3.3, repeats=[3.299, 3.301]))
    script.post(ADDRESS, sent(value=3.3))
    rows = script.get(f"{ADDRESS}?project=tern").json()["results"]
    assert [row["repeats"] for row in rows] == [[3.299, 3.301], []]


def test_a_list_takes_repeats(script: Caller):
    items = [sent(repeats=[3.3, 3.301], key="a"), sent(value=3.2, repeats=[3.3, 3.301], key="b")]
    body = script.post(ADDRESS, items).json()
    assert [line["status"] for line in body["results"]] == ["stored", "rejected"]
    assert body["results"][1]["problem"]["problems"][0]["field"] == "value"


@pytest.mark.parametrize("repeats", ["3.3", [True, 3.3], [[3.3], 3.3], [3.3], [3.3] * 1001, {"a": 1}])
def test_what_is_no_repeat_is_named(script: Caller, repeats: Any):
    problem = problem_of(script.post(ADDRESS, sent(repeats=repeats)), 400)
    assert problem["problems"][0]["field"] == "repeats"


@pytest.mark.parametrize("more", [{}, {"repeats": []}, {"value": None, "repeats": []}])
def test_without_repeats_a_value_is_needed(script: Caller, more: dict[str, Any]):
    problem = problem_of(script.post(ADDRESS, sent(**more)), 400)
    assert problem["problems"][0]["field"] == "value"
