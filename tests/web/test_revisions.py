"""Coverage, open risks and the way to the next spin."""

from __future__ import annotations

import csv
from dataclasses import fields
from datetime import datetime
from io import StringIO
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from logbook.boards.commands import add_board
from logbook.projects.commands import add_subsystem, change_subsystem, create_project
from logbook.web.views.revisions import CoveragePage
from logbook.web.views.risks import NoRevisionPage, RisksPage
from tests.builders import Bench
from tests.web.contexts import received

COVERAGE = "/p/tern/rev/A/"
RISKS = f"{COVERAGE}risks/"
PAGES = [COVERAGE, RISKS, f"{COVERAGE}coverage.csv", f"{COVERAGE}risks.csv"]


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    client.force_login(bench.reader)
    return client


def text_of(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.content.decode()
    return answer.content.decode()


def rows_of(client: Client, address: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text_of(client, address))))


@pytest.mark.parametrize("address", PAGES)
@pytest.mark.parametrize(
    ("person", "status"), [("owner", 200), ("editor", 200), ("reader", 200), ("stranger", 404)]
)
def test_only_members_see_a_revision(
    bench: Bench, client: Client, address: str, person: str, status: int
) -> None:
    client.force_login(getattr(bench, person))
    assert client.get(address).status_code == status


@pytest.mark.parametrize("address", [*PAGES, "/p/tern/next-spin/"])
def test_it_sends_the_anonymous_to_sign_in(bench: Bench, client: Client, address: str) -> None:
    assert client.get(address).headers["Location"].startswith("/sign-in/")


def test_it_shows_nothing_of_another_project(bench: Bench, client: Client) -> None:
    bench.target()
    client.force_login(bench.stranger)
    assert b"RLD-2" not in client.get(COVERAGE).content


@pytest.mark.parametrize("address", PAGES)
def test_it_finds_no_unknown_revision(reader: Client, address: str) -> None:
    assert reader.get(address.replace("/rev/A/", "/rev/Z/")).status_code == 404


@pytest.mark.parametrize(("address", "page"), [(COVERAGE, CoveragePage), (RISKS, RisksPage)])
def test_the_template_gets_the_fields_of_the_page(reader: Client, address: str, page: Any) -> None:
    assert received(reader.get(address)) == {field.name for field in fields(page)}


def test_a_project_without_targets_says_what_to_do_first(reader: Client) -> None:
    assert "No target yet" in text_of(reader, COVERAGE)
    assert "An empty list does not mean a safe revision" in text_of(reader, RISKS)


def test_coverage_shows_state_reason_and_reading(bench: Bench, reader: Client) -> None:
    bench.target()
    bench.read("3.317", expanded_uncertainty="0.001")
    shown = text_of(reader, COVERAGE)
    assert "1 target: 1 verified" in shown
    assert '<span class="num">3.317 V</span>' in shown
    assert "1 reading against 3.234..3.366 V" in shown


def test_a_failing_board_stands_before_a_passing_one(bench: Bench, reader: Client) -> None:
    bench.extra_board("0002")
    bench.target()
    bench.read("3.317", expanded_uncertainty="0.001")
    bench.read("3.5", board="0002", expanded_uncertainty="0.001")
    shown = text_of(reader, COVERAGE)
    assert shown.index('<span class="word fail">fail</span>') < shown.index(
        '<span class="word pass">pass</span>'
    )


def test_an_open_target_leads_to_the_bench(bench: Bench, reader: Client) -> None:
    bench.target()
    assert 'href="/p/tern/bench/0001/?target=RLD-2"' in text_of(reader, COVERAGE)
    assert 'href="/p/tern/bench/0001/?target=RLD-2"' in text_of(reader, RISKS)


def test_a_failing_target_leads_to_its_worst_board(bench: Bench, reader: Client) -> None:
    bench.extra_board("0002")
    bench.target()
    bench.read("3.5", board="0002")
    assert 'href="/p/tern/bench/0002/?target=RLD-2"' in text_of(reader, COVERAGE)


def test_a_scrapped_board_is_never_proposed(bench: Bench, reader: Client) -> None:
    add_board(
        actor=bench.actor, project=bench.project, revision=bench.revision, serial="0000", state="scrapped"
    )
    bench.target()
    assert "/bench/0000/" not in text_of(reader, COVERAGE)


def test_a_name_is_shown_as_text(bench: Bench, reader: Client) -> None:
    bench.target(values={"note": ""})
    bench.project.targets.update(name="<script>alert(1)</script>")
    for address in (COVERAGE, RISKS):
        assert "<script>alert" not in text_of(reader, address)


def test_subsystems_stand_after_what_they_depend_on(bench: Bench, reader: Client) -> None:
    memory = add_subsystem(actor=bench.actor, project=bench.project, key="MEM", name="memory", kind="memory")
    bench.target("MEM-1", subsystem=memory)
    bench.target()
    change_subsystem(actor=bench.actor, subsystem=memory, values={"position": 0}, depends_on=["RLD"])
    shown = text_of(reader, COVERAGE)
    assert shown.index('id="sub-RLD"') < shown.index('id="sub-MEM"')
    assert "depends on RLD" in shown


@pytest.mark.parametrize(
    ("query", "kept"),
    [("state=verified", "RLD-2"), ("state=never+tried", "RLD-3"), ("subsystem=RLD&state=verified", "RLD-2")],
)
def test_coverage_is_filtered(bench: Bench, reader: Client, query: str, kept: str) -> None:
    bench.target()
    bench.target("RLD-3")
    bench.read("3.3", expanded_uncertainty="0.001")
    assert {row["target"] for row in rows_of(reader, f"{COVERAGE}coverage.csv?{query}")} == {kept}
    assert reader.get(f"{COVERAGE}?{query}").context["shown"] == 1


@pytest.mark.parametrize(
    ("query", "kept"),
    [
        ("kind=failing", {"RLD-2"}),
        ("kind=never+tried", {"RLD-3"}),
        ("subsystem=RLD", {"RLD-2", "RLD-3"}),
    ],
)
def test_risks_are_filtered(bench: Bench, reader: Client, query: str, kept: set[str]) -> None:
    bench.target()
    bench.target("RLD-3")
    bench.read("3.5", expanded_uncertainty="0.001")
    assert {row["subject"] for row in rows_of(reader, f"{COVERAGE}risks.csv?{query}")} == kept
    assert {one.row.subject for one in reader.get(f"{RISKS}?{query}").context["rows"]} == kept


def test_risks_are_filtered_by_level(bench: Bench, reader: Client) -> None:
    bench.target(values={"severity": "S1"})
    bench.target("RLD-3", values={"severity": "S5"})
    assert [row["subject"] for row in rows_of(reader, f"{COVERAGE}risks.csv?level=High")] == ["RLD-2"]


def test_a_risk_shows_its_factors(bench: Bench, reader: Client) -> None:
    bench.target(values={"severity": "S2", "harm": "critical"})
    bench.target("RLD-3", needs=["RLD-2"])
    shown = text_of(reader, RISKS)
    assert "S2 blocks a subsystem or the next check" in shown
    assert "to people: critical" in shown
    assert "40 h" in shown
    assert "<dt>needed by</dt><dd>1 target</dd>" in shown
    assert '<span class="num">25 %</span>' in shown


def test_no_risk_is_said_without_promising_more(bench: Bench, reader: Client) -> None:
    bench.target()
    bench.read("3.3", expanded_uncertainty="0.001")
    assert "What was never made a target is not in this list" in text_of(reader, RISKS)


@pytest.mark.parametrize("query", ["as_of=soon", "as_of=2999-01-01", "state=good", "subsystem=XYZ"])
def test_a_filter_that_cannot_be_read_is_refused_at_its_field(
    bench: Bench, reader: Client, query: str
) -> None:
    bench.target()
    answer = reader.get(f"{COVERAGE}?{query}")
    assert answer.status_code == 400
    assert query.partition("=")[0] in answer.context["form"].errors
    assert not answer.context["groups"]
    assert reader.get(f"{COVERAGE}coverage.csv?{query}").status_code == 400


def test_a_future_day_of_the_risks_is_refused(reader: Client) -> None:
    assert reader.get(f"{RISKS}?as_of=2999-01-01").status_code == 400


def test_it_says_how_many_entries_came_later(bench: Bench, reader: Client) -> None:
    bench.target()
    bench.read("3.3", taken_at=datetime.fromisoformat("2026-01-05T10:00:00+00:00"))
    shown = text_of(reader, f"{COVERAGE}?as_of=2026-02-01")
    assert "1 entry dated before that day was entered later" in shown


def test_a_line_of_the_download_holds_one_reading(bench: Bench, reader: Client) -> None:
    bench.target(points=("CH1", "CH2"))
    bench.read("3.317", point="CH1", expanded_uncertainty="0.001")
    [line] = rows_of(reader, f"{COVERAGE}coverage.csv")
    assert (line["point"], line["verdict"], line["value"], line["unit"]) == ("CH1", "pass", "3.317", "V")
    assert line["state"] == "partly verified"


def test_the_door_leads_to_the_newest_revision(bench: Bench, reader: Client) -> None:
    assert reader.get("/p/tern/next-spin/").headers["Location"] == RISKS


def test_the_door_says_what_to_do_before_the_first_revision(bench: Bench, client: Client) -> None:
    create_project(actor=bench.actor, owner=bench.owner, slug="skua", name="Skua")
    client.force_login(bench.owner)
    answer = client.get("/p/skua/next-spin/")
    assert received(answer) == {field.name for field in fields(NoRevisionPage)}
    assert b"Add the first revision" in answer.content


@pytest.mark.parametrize(("address", "most"), [(COVERAGE, 20), (RISKS, 25)])
def test_its_queries_do_not_grow_with_the_targets(
    bench: Bench, reader: Client, address: str, most: int
) -> None:
    counts = []
    for number in range(100):
        key = f"RLD-{number + 10}"
        bench.target(key)
        if number % 5 == 0:
            bench.read("3.3", key, expanded_uncertainty="0.001")
        if number in {9, 99}:
            with CaptureQueriesContext(
                connection,
            ) as queries:
                text_of(reader, address)
            counts.append(len(queries))
    assert counts[0] == counts[1] <= most
