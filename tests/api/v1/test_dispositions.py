"""Decisions on open risks through the API."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.planning.models import Disposition
from tests.api.callers import Caller, problem_of
from tests.builders import Bench

R = "projects/tern/revisions/A/"
DISPOSITIONS = f"{R}dispositions/"
ACCEPT = {"decision": "accept", "owner": "wh", "reason": "runs cool", "expires_with": "D"}


def decide(caller: Caller, *rows: dict[str, str], **given: Any) -> Any:
    return caller.post(DISPOSITIONS, {"rows": list(rows), **given})


def test_several_rows_are_decided_at_once_and_show_it(owner: Caller, bench: Bench):
    bench.target()
    bench.target("RLD-3")
    answer = decide(owner, {"target": "RLD-2"}, {"target": "RLD-3"}, **ACCEPT)
    assert answer.status_code == 201
    made = answer.json()["dispositions"]
    assert [one["subject"] for one in made] == ["RLD-2", "RLD-3"]
    assert made[0]["facts"]["kind"] == "never tried"
    rows = owner.get(f"{R}risks/").json()["rows"]
    assert all(row["decided"] for row in rows)
    held = rows[0]["disposition"]
    assert (held["number"], held["decision"], held["hold"]) == (made[0]["number"], "accept", "stands")
    assert (held["owner"], held["expires_with"], held["because"]) == ("wh", "D", "")


def test_a_new_reading_opens_the_row_and_is_named(owner: Caller, bench: Bench):
    bench.target(values={"severity": "S4"})
    decide(owner, {"target": "RLD-2"}, **ACCEPT)
    bench.read("9 V")
    (row,) = owner.get(f"{R}risks/").json()["rows"]
    assert not row["decided"]
    assert row["disposition"]["hold"] == "open again"
    assert row["disposition"]["because"].startswith("new reading of RLD-2 on 0001: fail")


@pytest.mark.parametrize(
    ("rows", "given", "field"),
    [
        ([{"target": "RLD-2"}], {"decision": "accept"}, "owner"),
        ([{"target": "RLD-2"}], {"decision": "defer"}, "reopens_with"),
        ([{"target": "RLD-9"}], {"decision": "change"}, "rows"),
        ([{"target": "RLD-2"}], {"decision": "change", "change": "F-1"}, "change"),
        ([{"target": "RLD-2", "kind": "failing"}], {"decision": "change"}, "rows"),
        ([{"target": "RLD-2", "finding": "F-01"}], {"decision": "change"}, "rows"),
        ([{}], {"decision": "change"}, "rows"),
        ([], {"decision": "change"}, "rows"),
        ([{"target": "RLD-2"}], {"decision": "wait"}, "decision"),
        ([{"target": "RLD-2"}], {}, "decision"),
    ],
    ids=[
        "no owner", "no revision", "no such row", "no such change", "no such kind", "two subjects",
        "no subject", "no row", "no such decision", "no decision",
    ],
)  # fmt: skip
def test_what_is_missing_is_named(
    owner: Caller, bench: Bench, rows: list[dict[str, str]], given: dict[str, str], field: str
):
    bench.target()
    problem = problem_of(decide(owner, *rows, **given), 400)
    assert any(one["field"].startswith(field) for one in problem["problems"])
    assert not Disposition.objects.exists()


def test_the_list_keeps_superseded_and_withdrawn_ones(owner: Caller, bench: Bench):
    bench.target()
    first = decide(owner, {"target": "RLD-2"}, decision="test first").json()["dispositions"][0]
    decide(owner, {"target": "RLD-2"}, **ACCEPT)
    done = owner.post(f"{DISPOSITIONS}{first['number']}/withdraw/", {"because": "superseded"})
    assert (done.status_code, done.json()["withdrawn_because"]) == (200, "superseded")
    found = owner.get(DISPOSITIONS).json()["results"]
    assert [one["decision"] for one in found] == ["test first", "accept"]
    assert len(owner.get(f"{DISPOSITIONS}?decision=accept").json()["results"]) == 1


def test_a_target_may_not_apply(owner: Caller, bench: Bench):
    bench.target()
    address = f"{R}not-applicable/"
    answer = owner.post(address, {"target": "RLD-2", "reason": "no such output"})
    assert (answer.status_code, answer.json()["by"]) == (201, "owner-tern")
    assert owner.get(f"{R}risks/").json()["rows"] == []
    (row,) = owner.get(f"{R}coverage/").json()["rows"]
    assert (row["state"], row["beneath"]) == ("not applicable", None)
    assert [one["target"] for one in owner.get(address).json()["results"]] == ["RLD-2"]
    assert owner.post(f"{address}RLD-2/withdraw/", {"because": "fitted"}).status_code == 200
    assert len(owner.get(f"{R}risks/").json()["rows"]) == 1


def test_coverage_shows_waived_and_what_lies_beneath(owner: Caller, bench: Bench):
    bench.target()
    bench.read("9 V")
    decide(owner, {"target": "RLD-2"}, **ACCEPT)
    (row,) = owner.get(f"{R}coverage/").json()["rows"]
    assert (row["state"], row["beneath"]) == ("waived", "failing")


def test_the_list_needs_as_many_queries_for_many_as_for_few(
    owner: Caller, bench: Bench, django_assert_max_num_queries: Any
):
    keys = [bench.target(f"RLD-{place}").key for place in range(12)]
    decide(owner, *({"target": key} for key in keys), **ACCEPT)
    with django_assert_max_num_queries(8):
        assert len(owner.get(DISPOSITIONS).json()["results"]) == 12
