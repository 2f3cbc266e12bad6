"""Where the bench page opens, what it keeps from the last reading, and what it says of a comma."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest
from django.test import Client

from logbook.bench.commands import open_bench_session
from logbook.web.views.bench_page import BenchPage
from tests.builders import Bench

PAGE = "/p/tern/bench/0001/"


@pytest.fixture
def at_bench(bench: Bench, client: Client) -> Bench:
    bench.target("RLD-1", "5.88..6.12 V")
    bench.target("RLD-2", needs=["RLD-1"])
    client.force_login(bench.editor)
    return bench


def entered(client: Client, value: str, target: str = "RLD-2", **more: Any) -> Any:
    return client.post(f"{PAGE}record/", {"value": value, "target": target, "point": "", **more}, follow=True)


def shown(response: Any) -> BenchPage:
    return BenchPage(**{field.name: response.context[field.name] for field in fields(BenchPage)})


def stopped_before(bench: Bench, next_step: str) -> None:
    open_bench_session(
        actor=bench.actor,
        project=bench.project,
        title="rails",
        boards=[bench.board],
        values={"next_step": next_step},
    )


@pytest.mark.parametrize(
    ("next_step", "opened"),
    [
        ("Before RLD-2: load off, then RLD-5.", "RLD-2"),
        ("warm up the meter", "RLD-1"),
        ("RLD-20 and XRLD-2 are other checks", "RLD-1"),
    ],
    ids=["the check named first", "none named", "none of these checks"],
)
def test_it_opens_where_the_last_sitting_stopped(
    at_bench: Bench, client: Client, next_step: str, opened: str
) -> None:
    stopped_before(at_bench, next_step)
    now = shown(client.get(PAGE)).now
    assert now is not None
    assert now.line.target.key == opened


def test_it_does_not_open_a_check_that_is_read_or_behind_a_stop(at_bench: Bench, client: Client) -> None:
    at_bench.target("UI-1", "<= 1 V")
    at_bench.read("5.0", "RLD-1")
    stopped_before(at_bench, "RLD-1 again, then RLD-2")
    now = shown(client.get(PAGE)).now
    assert now is not None
    assert now.line.target.key == "UI-1"


def uncertainty_offered(response: Any) -> str:
    form = shown(response).form
    assert form is not None
    return str(form["expanded_uncertainty"].value() or "")


def test_a_typed_uncertainty_serves_no_other_check(at_bench: Bench, client: Client) -> None:
    response = entered(client, "6.00", "RLD-1", expanded_uncertainty="0.1")
    assert uncertainty_offered(response) == ""
    assert uncertainty_offered(client.get(f"{PAGE}?target=RLD-1")) == ""


def test_a_typed_uncertainty_is_kept_for_the_next_point_and_says_so(at_bench: Bench, client: Client) -> None:
    at_bench.target("AFE-1", "9.8..10.2 V", points=("CH1", "CH2", "CH3"))
    response = entered(client, "10", "AFE-1", point="CH1", expanded_uncertainty="0.1", coverage_factor="3")
    assert uncertainty_offered(response) == "0.1"
    assert shown(response).kept_uncertainty == "± 0.1 V, k = 3"
    assert "kept from the last reading" in response.content.decode()
    assert uncertainty_offered(client.get(shown(response).forget_url)) == ""
    following = entered(client, "10", "AFE-1", point="CH2")
    assert uncertainty_offered(following) == ""


def test_a_typed_uncertainty_ends_with_the_sitting(at_bench: Bench, client: Client) -> None:
    at_bench.target("AFE-1", "9.8..10.2 V", points=("CH1", "CH2"))
    entered(client, "10", "AFE-1", point="CH1", expanded_uncertainty="0.1")
    stopped_before(at_bench, "")
    assert uncertainty_offered(client.get(f"{PAGE}?target=AFE-1&point=CH2")) == ""


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        ("3,3", "write 3.3."),
        ("-3,3 mV", "write -3.3 mV."),
        ("3,298", "write 3.298, or 3298 if the comma parts thousands."),
    ],
)
def test_a_comma_is_refused_with_the_number_to_write(
    at_bench: Bench, client: Client, typed: str, advice: str
) -> None:
    form = shown(entered(client, typed)).form
    assert form is not None
    assert list(form.errors["value"]) == [f"“{typed}” holds a comma, which could mean two things: {advice}"]
