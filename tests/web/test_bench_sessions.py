"""Bench sessions."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest
from django.test import Client

from logbook.bench.commands import open_bench_session
from logbook.bench.models import BenchSession
from logbook.web.views.sessions import SessionFormPage, SessionListPage, SessionPage
from tests.builders import Bench

LIST = "/p/tern/sessions/"


@pytest.fixture
def session(bench: Bench, client: Client) -> BenchSession:
    client.force_login(bench.editor)
    return open_bench_session(
        actor=bench.actor, project=bench.project, title="rails of A", boards=[bench.board]
    )


def test_opening_one_with_one_board_leads_to_the_bench(bench: Bench, client: Client) -> None:
    client.force_login(bench.editor)
    given = {"title": "first power", "boards": [bench.board.pk], "firmware": "0.2.0", "ambient_c": "23"}
    response = client.post(f"{LIST}new/", given)
    assert response["Location"] == "/p/tern/bench/0001/"
    opened = BenchSession.objects.get()
    assert (opened.firmware, opened.ambient_c, list(opened.people.all())) == ("0.2.0", 23.0, [bench.editor])


@pytest.mark.parametrize("moment", ["0001-01-01T00:00", "9999-12-31T23:59"])
def test_a_moment_of_a_clock_never_set_is_refused(bench: Bench, client: Client, moment: str) -> None:
    """It could not be shown in every time zone: a page with it would fail for good."""
    client.force_login(bench.editor)
    given = {"title": "first power", "boards": [bench.board.pk], "started_at": moment}
    form = client.post(f"{LIST}new/", given).context["form"]
    assert form.errors["started_at"] == ["This is not from 1900-01-01 to 2200-01-01: is the clock set?"]
    assert not BenchSession.objects.exists()


def test_the_board_in_hand_is_ticked(bench: Bench, client: Client) -> None:
    client.force_login(bench.editor)
    form = client.get(f"{LIST}new/?board=0001").context["form"]
    assert form["boards"].value() == [bench.board.pk]


def test_readings_stand_in_the_order_they_were_taken(
    bench: Bench, client: Client, session: BenchSession
) -> None:
    bench.target()
    for value in ("3.1", "3.2"):
        bench.read(value, bench_session=session.pk)
    context = client.get(f"{LIST}{session.pk}/").context
    assert [one.text for one in context["readings"]] == ["3.1", "3.2"]


def test_it_is_edited(bench: Bench, client: Client, session: BenchSession) -> None:
    client.post(
        f"{LIST}{session.pk}/edit/", {"title": "rails", "boards": [bench.board.pk], "next_step": "MON-2"}
    )
    session.refresh_from_db()
    assert (session.title, session.next_step) == ("rails", "MON-2")


def test_it_is_closed_with_its_next_step(client: Client, session: BenchSession) -> None:
    client.post(f"{LIST}{session.pk}/close/", {"next_step": "MON-2"})
    session.refresh_from_db()
    assert session.ended_at is not None
    assert session.next_step == "MON-2"


def test_closing_twice_keeps_the_first_end(client: Client, session: BenchSession) -> None:
    client.post(f"{LIST}{session.pk}/close/")
    session.refresh_from_db()
    first = session.ended_at
    client.post(f"{LIST}{session.pk}/close/")
    session.refresh_from_db()
    assert session.ended_at == first


def test_the_list_can_be_filtered_by_state_and_board(client: Client, session: BenchSession) -> None:
    assert [one.pk for one in client.get(f"{LIST}?state=open&board=0001").context["rows"]] == [session.pk]
    assert list(client.get(f"{LIST}?state=closed").context["rows"]) == []


def test_the_list_comes_as_csv(client: Client, session: BenchSession) -> None:
    assert "rails of A" in client.get("/p/tern/sessions.csv").content.decode()


@pytest.mark.parametrize(
    ("tail", "page"),
    [("", SessionListPage), ("new/", SessionFormPage), ("one", SessionPage), ("edit", SessionFormPage)],
)
def test_each_page_gives_its_template_every_field(
    client: Client, session: BenchSession, tail: str, page: Any
) -> None:
    tail = {"one": f"{session.pk}/", "edit": f"{session.pk}/edit/"}.get(tail, tail)
    assert {field.name for field in fields(page)} <= set(client.get(LIST + tail).context.keys())


def test_a_reader_may_not_open_one(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    assert client.get(f"{LIST}new/").status_code == 403


def test_a_stranger_finds_nothing(bench: Bench, client: Client, session: BenchSession) -> None:
    client.force_login(bench.stranger)
    for address in (LIST, f"{LIST}{session.pk}/", "/p/tern/sessions.csv"):
        assert client.get(address).status_code == 404
