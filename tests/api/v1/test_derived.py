"""Coverage and open risks, today and on a past day."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from tests.api.callers import Caller, problem_of
from tests.builders import Bench

COVERAGE = "projects/tern/revisions/A/coverage/"
RISKS = "projects/tern/revisions/A/risks/"


def test_it_shows_coverage_as_the_contract_says(owner: Caller, bench: Bench):
    bench.target(limits="3.3 V ± 2 %")
    bench.target("RLD-3")
    bench.read("3298 mV", expanded_uncertainty="4 mV")
    body = owner.get(COVERAGE).json()
    assert (body["project"], body["revision"], body["as_of"]) == ("tern", "A", None)
    first, second = body["rows"]
    assert set(first) == {"target", "subsystem", "state", "beneath", "reason", "boards"}
    assert (first["target"], first["subsystem"], first["state"]) == ("RLD-2", "RLD", "verified")
    assert set(first["boards"][0]) == {"board", "verdict", "value", "unit"}
    assert (first["boards"][0]["board"], first["boards"][0]["verdict"]) == ("0001", "pass")
    shown = first["boards"][0]["value"] * (0.001 if first["boards"][0]["unit"] == "mV" else 1)
    assert shown == pytest.approx(3.298)
    assert second["state"] == "never tried"


def test_it_shows_risks_worst_first(owner: Caller, bench: Bench):
    bench.target(limits="3.3 V ± 2 %", values={"severity": "S4"})
    bench.target("RLD-3", limits="3.3 V ± 2 %", values={"severity": "S1"})
    bench.read("5 V", "RLD-3", expanded_uncertainty="4 mV")
    rows = owner.get(RISKS).json()["rows"]
    keys = {"level", "kind", "target", "reason", "probability", "severity", "closes", "disposition"}
    assert all(keys <= set(row) for row in rows)
    assert [(row["target"], row["kind"]) for row in rows] == [("RLD-3", "failing"), ("RLD-2", "never tried")]
    assert 0 < rows[1]["probability"] <= rows[0]["probability"] <= 1
    assert rows[0]["disposition"] is None


@pytest.mark.parametrize("address", [COVERAGE, RISKS])
@pytest.mark.parametrize("day", ["yesterday", "2026-13-01", "20260501", "2026-5-1", "", "2999-01-01"])
def test_it_refuses_a_day_that_is_none_or_not_past(owner: Caller, bench: Bench, address: str, day: str):
    problem = problem_of(owner.get(f"{address}?as_of={day}"), 400)
    assert [one["field"] for one in problem["problems"]] == ["as_of"]


def test_it_answers_as_the_project_stood(owner: Caller, bench: Bench):
    bench.target(limits="3.3 V ± 2 %")
    bench.read("3.3 V", taken_at=timezone.now())
    before = timezone.localdate() - timedelta(days=1)
    past = owner.get(f"{COVERAGE}?as_of={before}").json()
    assert past["as_of"] == str(before)
    assert all(row["state"] != "verified" for row in past["rows"])


@pytest.mark.parametrize("address", [COVERAGE, RISKS])
def test_it_needs_as_many_queries_for_many_targets_as_for_few(
    owner: Caller, bench: Bench, address: str, django_assert_max_num_queries: Any
):
    for place in range(12):
        bench.target(f"RLD-{place}")
        bench.read("3.3 V", f"RLD-{place}")
    with django_assert_max_num_queries(26):
        assert owner.get(address).status_code == 200


def test_it_knows_no_other_revision(owner: Caller):
    problem_of(owner.get("projects/tern/revisions/Z/coverage/"), 404)
