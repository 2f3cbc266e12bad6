"""Small samples of a target through the API."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

ADDRESS = "projects/tern/targets/RLD-2/sample/"


def boards(bench: Bench, *values: str) -> None:
    for number, value in enumerate(values, 1):
        serial = f"{number:04}"
        if not bench.project.boards.filter(serial=serial).exists():
            bench.extra_board(serial)
        bench.read(value, board=serial)


def test_it_agrees_with_the_calculation_of_a_sample(owner: Caller, bench: Bench):
    bench.target(limits="3.234..3.366 V")
    boards(bench, "3.322", "3.319", "3.326")
    (row,) = owner.get(ADDRESS).json()["rows"]
    asked = {"values": [3.322, 3.319, 3.326], "limits": "3.234..3.366 V"}
    calculated = owner.post("calculations/sample/", asked).json()
    assert {name: row[name] for name in calculated} == calculated
    assert (row["revision"], row["point"], row["range"]) == ("A", "", pytest.approx(0.007))
    assert [one["board"] for one in row["boards"]] == ["0001", "0002", "0003"]


def test_what_one_board_cannot_say_is_null(owner: Caller, bench: Bench):
    bench.target()
    boards(bench, "3.3")
    (row,) = owner.get(ADDRESS).json()["rows"]
    unknown = ("standard_deviation", "cpk", "cpk_interval", "tolerance_interval")
    assert [row[name] for name in unknown] == [None] * 4
    # 0 of 1 failing: at most 0.95 at 95 %, one-sided (exact binomial bound, 1 - 0.05^(1/1)).
    assert row["failing_boards"]["upper"] == pytest.approx(0.95)
    assert row["probability_out_of_limits"] > 0
    assert row["probability_basis"] == "mostly assumed"


def test_zero_errors_have_an_upper_bound(owner: Caller, bench: Bench):
    bench.target("RLD-2", "0 errors", kind="count")
    boards(bench, "0 of 1000")
    (row,) = owner.get(ADDRESS).json()["rows"]
    assert row["failing_trials"]["sides"] == "upper"
    assert row["failing_trials"]["upper"] == pytest.approx(1 - 0.05 ** (1 / 1000))


def test_a_target_not_read_has_no_rows(owner: Caller, bench: Bench):
    bench.target()
    assert owner.get(ADDRESS).json() == {"project": "tern", "target": "RLD-2", "rows": []}


def test_strangers_and_wrong_names_find_nothing(owner: Caller, bench: Bench):
    bench.target()
    problem_of(caller_for(bench.stranger).get(ADDRESS), 404)
    problem_of(owner.get("projects/tern/targets/NONE/sample/"), 404)


def test_each_board_costs_no_query_more(owner: Caller, bench: Bench):
    bench.target()
    boards(bench, "3.3")
    owner.get(ADDRESS)
    with CaptureQueriesContext(connection) as few:
        owner.get(ADDRESS)
    boards(bench, "3.3", "3.31", "3.32")
    with CaptureQueriesContext(connection) as many:
        owner.get(ADDRESS)
    assert len(many) == len(few)
