"""The bench door: which board is in your hand."""

from __future__ import annotations

from dataclasses import fields

from django.test import Client

from logbook.bench.commands import open_bench_session
from logbook.boards.commands import change_board
from logbook.web.views.bench_door import BenchDoorPage
from tests.builders import Bench

DOOR = "/p/tern/bench/"


def test_boards_in_use_come_first(bench: Bench, client: Client) -> None:
    change_board(actor=bench.actor, board=bench.board, values={"state": "lent"})
    bench.extra_board("0002")
    client.force_login(bench.reader)
    context = client.get(DOOR).context
    assert [card.hand.board.serial for card in context["at_hand"]] == ["0002"]
    assert [card.hand.board.serial for card in context["elsewhere"]] == ["0001"]


def test_it_shows_what_was_stopped_in_the_middle(bench: Bench, client: Client) -> None:
    open_bench_session(
        actor=bench.actor,
        project=bench.project,
        title="rails of C",
        boards=[bench.board],
        values={"next_step": "before MON-2: dummy load"},
    )
    client.force_login(bench.reader)
    text = client.get(DOOR).content.decode()
    assert "rails of C" in text
    assert "before MON-2: dummy load" in text


def test_it_gives_the_template_every_field_of_the_page(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    assert {field.name for field in fields(BenchDoorPage)} <= set(client.get(DOOR).context.keys())


def test_boards_can_be_filtered_by_state(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    assert "No board is in state" in client.get(f"{DOOR}?state=lent").content.decode()


def test_boards_come_as_csv(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    lines = client.get("/p/tern/bench.csv").content.decode().splitlines()
    assert lines[1].startswith("0001,A,in use")


def test_a_stranger_finds_nothing(bench: Bench, client: Client) -> None:
    client.force_login(bench.stranger)
    assert client.get(DOOR).status_code == 404
