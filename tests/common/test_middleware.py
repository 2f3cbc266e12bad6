"""Every request has an id, is logged once and counted once, whatever it asked for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
import structlog
from django.test import Client
from prometheus_client import REGISTRY

from tests.builders import Bench


@pytest.fixture
def lines() -> Iterator[list[Any]]:
    """Return the lines logged meanwhile."""
    with structlog.testing.capture_logs(processors=[structlog.contextvars.merge_contextvars]) as kept:
        yield kept


def _requests(lines: list[Any]) -> list[Any]:
    return [line for line in lines if line["event"] == "request"]


def test_it_takes_over_an_id_and_answers_with_it(client: Client, lines: list[Any]) -> None:
    answer = client.get("/healthz/", headers={"X-Request-ID": "bench-7.2026"})
    assert answer["X-Request-ID"] == "bench-7.2026"
    assert [line["request_id"] for line in _requests(lines)] == ["bench-7.2026"]


@pytest.mark.parametrize(
    "given",
    ["", "x" * 65, "two words", "line\nend", '"quoted"', "é"],
    ids=["none", "long", "space", "line", "quote", "sign"],
)
def test_it_makes_an_id_where_the_one_given_is_not_safe(client: Client, given: str) -> None:
    answer = client.get("/healthz/", headers={"X-Request-ID": given})
    assert re.fullmatch(r"[0-9a-f]{32}", answer["X-Request-ID"])


def test_it_logs_the_template_of_the_address_and_who_asked(
    bench: Bench, client: Client, lines: list[Any]
) -> None:
    client.force_login(bench.owner)
    client.get(f"/p/{bench.project.slug}/?secret=hush")
    (line,) = _requests(lines)
    assert (line["route"], line["status"], line["user"]) == ("/p/<str:slug>/", 200, bench.owner.pk)
    assert "hush" not in str(line)
    assert line["ms"] > 0


def test_nobody_is_nobody_and_costs_no_query(client: Client, lines: list[Any]) -> None:
    client.get("/healthz/")
    assert _requests(lines)[0]["user"] is None


@pytest.mark.parametrize(
    ("path", "route"),
    [("/nowhere/at/all/", "unmatched"), ("/static/none.css", "static"), ("/healthz/", "/healthz/")],
    ids=["unmatched", "static", "known"],
)
def test_it_counts_by_route_not_by_address(db: None, client: Client, path: str, route: str) -> None:
    def counted() -> float:
        found = REGISTRY.get_sample_value("logbook_request_seconds_count", {"method": "GET", "route": route})
        return found or 0.0

    before = counted()
    client.get(path)
    assert counted() == before + 1


def test_an_invented_method_makes_no_name_of_its_own(client: Client) -> None:
    client.generic("BREW", "/healthz/")
    labels = {"method": "other", "route": "/healthz/", "status": "405"}
    assert REGISTRY.get_sample_value("logbook_requests_total", labels)
    assert not any(
        sample.labels.get("method") == "BREW" for family in REGISTRY.collect() for sample in family.samples
    )
