"""The next bench hour as a page: a checklist in order, what is left out, and the way there."""

from __future__ import annotations

import csv
from dataclasses import fields
from io import StringIO

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from logbook.boards.commands import record_board_event
from logbook.projects.commands import add_revision
from logbook.web.views.bench_plan import BenchPlanPage
from tests.builders import Bench
from tests.web.contexts import received

PLAN = "/p/tern/rev/A/bench-plan/"
CSV = "/p/tern/rev/A/bench-plan.csv"


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    client.force_login(bench.reader)
    return client


def text_of(client: Client, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status, answer.content.decode()
    return answer.content.decode()


@pytest.mark.parametrize("address", [PLAN, CSV])
@pytest.mark.parametrize(("person", "status"), [("owner", 200), ("reader", 200), ("stranger", 404)])
def test_only_members_see_it(bench: Bench, client: Client, address: str, person: str, status: int) -> None:
    client.force_login(getattr(bench, person))
    assert client.get(address).status_code == status


def test_the_template_gets_the_fields_of_the_page(reader: Client) -> None:
    assert received(reader.get(PLAN)) == {field.name for field in fields(BenchPlanPage)}


def test_a_check_shows_what_to_do_and_leads_to_the_bench(bench: Bench, reader: Client) -> None:
    bench.target(points=("CH1",), values={"severity": "S2", "minutes": 20, "waiting_minutes": 480})
    shown = text_of(reader, PLAN)
    assert 'href="/p/tern/bench/0001/?target=RLD-2&amp;point=CH1"' in shown
    assert '<span class="num">3.234..3.366 V</span>' in shown
    assert '<span class="num">10.0 h</span>' in shown
    assert "then wait 480" in shown
    assert "0.25 × 40 h (S2) = 10 h" in shown


def test_checks_stand_in_the_order_to_do_them(bench: Bench, reader: Client) -> None:
    bench.target("RAIL", values={"severity": "S5"})
    bench.target("CORE", needs=["RAIL"], values={"severity": "S1"})
    shown = text_of(reader, PLAN)
    assert shown.index(">RAIL</a>") < shown.index(">CORE</a>")


def test_it_says_what_is_left_out_and_why(bench: Bench, reader: Client) -> None:
    bench.target("RAIL")
    bench.target("CORE", needs=["RAIL"])
    bench.read("9", "RAIL")
    shown = text_of(reader, PLAN)
    assert "RAIL fails on board 0001" in shown
    assert "Nothing fits" in shown


def test_points_left_out_for_one_reason_share_a_line(bench: Bench, reader: Client) -> None:
    bench.target(points=("CH1", "CH2"), values={"minutes": 90})
    assert reader.get(PLAN).context["left_out"][0].targets[0].points == "CH1, CH2"


def test_the_cautions_of_its_checks_are_shown(bench: Bench, reader: Client) -> None:
    bench.target(values={"cautions": "H"})
    shown = text_of(reader, PLAN)
    assert "Parts can burn before they look hot" in shown
    assert "(RLD-2)" in shown


def test_boards_in_use_are_ticked_and_others_can_be_asked_for(bench: Bench, reader: Client) -> None:
    bench.target()
    bench.extra_board("0002")
    record_board_event(actor=bench.actor, board=bench.board, state="reference", at=timezone.now())
    assert [one.serial for one in reader.get(PLAN).context["plan"].boards] == ["0002"]
    assert reader.get(PLAN).context["form"]["board"].value() == ["0002"]
    asked = reader.get(f"{PLAN}?minutes=30&board=0001").context["plan"]
    assert ([one.serial for one in asked.boards], asked.asked_minutes) == (["0001"], 30)


@pytest.mark.parametrize("asked", ["minutes=0", "minutes=1441", "minutes=soon", "board=0099"])
def test_a_question_that_cannot_be_read_says_so_at_its_field(
    bench: Bench, reader: Client, asked: str
) -> None:
    bench.target()
    assert 'class="problems"' in text_of(reader, f"{PLAN}?{asked}", 400)
    assert reader.get(f"{CSV}?{asked}").status_code == 400


def test_the_file_holds_the_checks_in_order(bench: Bench, reader: Client) -> None:
    bench.target("RAIL", values={"severity": "S5"})
    bench.target("CORE", needs=["RAIL"], values={"severity": "S1"})
    rows = list(csv.DictReader(StringIO(text_of(reader, f"{CSV}?minutes=60"))))
    assert [(row["place"], row["target"], row["board"]) for row in rows] == [
        ("1", "RAIL", "0001"),
        ("2", "CORE", "0001"),
    ]


def test_empty_pages_say_what_to_do_first(bench: Bench, reader: Client) -> None:
    assert "No target yet" in text_of(reader, PLAN)
    bench.target()
    bench.read("3.3")
    assert "Nothing to buy" in text_of(reader, PLAN)
    record_board_event(actor=bench.actor, board=bench.board, state="lent", at=timezone.now())
    assert "No board of this revision is in use" in text_of(reader, PLAN)


def test_a_revision_without_boards_says_so(bench: Bench, reader: Client) -> None:
    add_revision(actor=bench.actor, project=bench.project, label="B")
    bench.target()
    assert "No board of this revision yet" in text_of(reader, "/p/tern/rev/B/bench-plan/")


@pytest.mark.parametrize("address", ["/p/tern/rev/A/", "/p/tern/rev/A/risks/", "/p/tern/bench/"])
def test_it_is_linked_from_where_it_is_wanted(bench: Bench, reader: Client, address: str) -> None:
    bench.target()
    assert f'href="{PLAN}"' in text_of(reader, address)


def test_it_needs_as_many_queries_for_many_targets_as_for_few(bench: Bench, reader: Client) -> None:
    bench.target()
    reader.get(PLAN)
    with CaptureQueriesContext(connection) as few:
        reader.get(PLAN)
    for place in range(8):
        bench.target(f"MORE-{place}")
    with CaptureQueriesContext(connection) as many:
        reader.get(PLAN)
    assert len(many) <= len(few)
