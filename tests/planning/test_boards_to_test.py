"""Test first needs a board of the line: where there is none, the page says what to do instead."""

from __future__ import annotations

import pytest
from django.test import Client

from logbook.boards.commands import record_board_event
from logbook.planning.queries.boards_to_test import why_nothing_can_be_tested
from logbook.projects.commands import add_revision
from tests.builders import Bench
from tests.planning.decisions import child

DECIDE = "/p/tern/rev/A/risks/decide/"
ROW = {"row": "target/RLD-2/never tried"}


def becomes(bench: Bench, state: str) -> None:
    record_board_event(actor=bench.actor, board=bench.board, state=state)


@pytest.mark.parametrize("state", ["new", "in use", "reference", "quarantined"])
def test_a_board_of_an_ancestor_that_can_be_read_is_enough(bench: Bench, state: str) -> None:
    becomes(bench, state)
    assert why_nothing_can_be_tested(child(bench)) == ""


@pytest.mark.parametrize("state", ["lent", "damaged", "scrapped"])
def test_boards_that_are_all_gone_prove_nothing(bench: Bench, state: str) -> None:
    becomes(bench, state)
    said = why_nothing_can_be_tested(child(bench))
    assert f"is {state}, so no reading can settle test first" in said
    assert "bring one back into use" in said


def test_a_line_without_a_board_asks_for_another_decision(bench: Bench) -> None:
    alone = add_revision(actor=bench.actor, project=bench.project, label="X")
    assert "There is no board of revision X" in why_nothing_can_be_tested(alone)


def test_the_page_says_so_before_and_after_and_forbids_nothing(bench: Bench, client: Client) -> None:
    bench.target()
    client.force_login(bench.editor)
    assert "bring one back" not in client.get(DECIDE, ROW).content.decode()
    becomes(bench, "scrapped")
    assert "bring one back" in client.get(DECIDE, ROW).content.decode()
    sent = client.post(
        DECIDE, {**ROW, "decision": "test first", "reason": "once there is a board"}, follow=True
    )
    assert "bring one back" in sent.content.decode()
