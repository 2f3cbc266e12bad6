"""Where a page leads next, and what a project says of itself in one line."""

from __future__ import annotations

import pytest
from django.test import Client

from logbook.boards.commands import add_board
from logbook.projects.commands import add_change, add_revision, add_subsystem
from tests.boards.choices_of_tern import add_mode
from tests.builders import Bench


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    client.force_login(bench.reader)
    return client


def text_of(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_risk_of_an_option_leads_to_its_line_among_the_options(bench: Bench, reader: Client) -> None:
    add_mode(bench, drawn=None)
    assert 'href="/p/tern/options/?revision=A#MODE"' in text_of(reader, "/p/tern/rev/A/risks/")
    assert '<tr id="MODE">' in text_of(reader, "/p/tern/options/?revision=A")


def test_a_new_board_is_planned_with(bench: Bench, reader: Client) -> None:
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    bench.target()
    add_board(actor=bench.actor, project=bench.project, revision=later, serial="0007")
    assert 'href="/p/tern/bench/0007/?target=RLD-2"' in text_of(reader, "/p/tern/rev/B/bench-plan/")


def test_a_project_says_what_is_carried_over(bench: Bench, reader: Client) -> None:
    bench.target()
    bench.target("RLD-3")
    bench.read("3.3")
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    add_change(actor=bench.actor, revision=later, key="C-1", kind="schematic", what="legend", subsystems=[])
    assert "Revision B: 1 carried over, 1 of 2 targets open" in text_of(reader, "/p/tern/")


def test_without_a_board_the_nearest_ancestors_bench_is_offered(bench: Bench, reader: Client) -> None:
    """One step from what a change touches evidence counts at 0.5: a judgement of the project."""
    far = add_subsystem(actor=bench.actor, project=bench.project, key="LED", name="l", kind="user interface")
    near = add_subsystem(
        actor=bench.actor, project=bench.project, key="MCU", name="m", kind="processor", depends_on=["RLD"]
    )
    bench.target()
    bench.target("MCU-1", subsystem=near)
    bench.target("LED-1", subsystem=far)
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    add_change(
        actor=bench.actor, revision=later, key="C-1", kind="BOM", what="R5", subsystems=[bench.subsystem]
    )
    shown = text_of(reader, "/p/tern/rev/B/")
    link = '<a class="nowrap" href="/p/tern/bench/0001/?target={}">bench 0001 of A</a><p class="why">{}</p>'
    assert link.format("LED-1", "carries over in full") in shown
    assert link.format("MCU-1", "counts at weight 0.5") in shown
    assert "a reading on A counts nothing here" in shown
    assert "bench 0001 of A: counts at weight 0.5" in text_of(reader, "/p/tern/rev/B/risks/")
    plan = text_of(reader, "/p/tern/rev/B/bench-plan/")
    assert "No board of revision B is there yet; the nearest ancestor with boards at hand is A" in plan
    assert 'href="/p/tern/rev/A/bench-plan/"' in plan


def test_what_fails_leads_to_its_readings_where_there_is_no_board(bench: Bench, reader: Client) -> None:
    bench.target()
    bench.read("9")
    later = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    add_change(actor=bench.actor, revision=later, key="C-1", kind="schematic", what="legend", subsystems=[])
    assert ">readings of RLD-2</a>" in text_of(reader, "/p/tern/rev/B/")
