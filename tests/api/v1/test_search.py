"""The search through the API."""

from __future__ import annotations

import pytest

from tests.api.callers import Caller, caller_for, problem_of
from tests.builders import Bench

KEYS = {"kind", "title", "where", "url", "excerpt"}


def test_it_answers_with_what_fits(owner: Caller, bench: Bench) -> None:
    bench.target(conditions="12 V in")
    body = owner.get("search/?q=rld2").json()
    assert body["results"][0] == {
        "kind": "target",
        "title": "RLD-2 invented target RLD-2",
        "where": "Tern",
        "url": "/p/tern/targets/RLD-2/",
        "excerpt": "3.234..3.366 V · 12 V in",
    }
    assert body["up_to_date"] is True
    assert all(set(row) == KEYS for row in body["results"])


def test_a_stranger_finds_nothing(bench: Bench) -> None:
    bench.target()
    stranger = caller_for(bench.stranger, "read")
    assert stranger.get("search/?q=rld2").json()["results"] == []
    problem_of(stranger.get("search/?q=rld2&project=tern"), 404)


def test_it_is_narrowed(owner: Caller, bench: Bench) -> None:
    rows = owner.get("search/?q=tern&project=tern&kind=project&limit=1").json()["results"]
    assert [row["kind"] for row in rows] == ["project"]


@pytest.mark.parametrize(
    ("address", "field"),
    [("search/", "q"), ("search/?q=%20", "q"), ("search/?q=a&kind=idea", "kind"),
     ("search/?q=a&limit=0", "limit"), ("search/?q=a&fuzzy=1", "fuzzy"), ("search/?q=a%00b", "q")],
)  # fmt: skip
def test_what_cannot_be_asked_is_named(owner: Caller, address: str, field: str) -> None:
    assert problem_of(owner.get(address), 400)["problems"][0]["field"] == field
