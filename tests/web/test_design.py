"""Subsystems, revisions and options through their forms."""

from __future__ import annotations

import pytest
from django.test import Client

from logbook.projects.models import DesignedPosition, Option, Revision, Subsystem
from logbook.projects.queries import subsystem_needs
from tests.builders import Bench

OPTION = {"key": "JP3", "subsystem": "RLD", "name": "boot source", "positions": "1-2: flash\n\n2-3: loader"}


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    """Return a browser in which the editor is signed in."""
    client.force_login(bench.editor)
    return client


def test_a_subsystem_depends_on_others(editor: Client, bench: Bench) -> None:
    given = {"key": "MEM", "name": "memory", "kind": "memory", "depends_on": ["RLD"]}
    assert editor.post("/p/tern/subsystems/new/", given).status_code == 302
    assert subsystem_needs(bench.project)["MEM"] == {"RLD"}


def test_a_circle_is_refused_at_its_field(editor: Client, bench: Bench) -> None:
    given = {"key": "MEM", "name": "memory", "kind": "memory", "depends_on": ["RLD"]}
    editor.post("/p/tern/subsystems/new/", given)
    change = {"name": "digital rails", "kind": "power", "depends_on": ["MEM"]}
    answer = editor.post("/p/tern/subsystems/RLD/edit/", change)
    assert "circle" in str(answer.context["form"].errors["depends_on"])
    assert subsystem_needs(bench.project)["RLD"] == set()


def test_a_key_stays_when_a_subsystem_is_changed(editor: Client) -> None:
    editor.post("/p/tern/subsystems/RLD/edit/", {"key": "XXX", "name": "rails", "kind": "power"})
    assert Subsystem.objects.get().key == "RLD"
    assert Subsystem.objects.get().name == "rails"


def test_a_key_is_taken_once(editor: Client) -> None:
    given = {"key": "RLD", "name": "again", "kind": "power"}
    assert editor.post("/p/tern/subsystems/new/", given).context["form"].errors


def test_a_revision_is_drawn_from_the_newest_unless_told_otherwise(editor: Client) -> None:
    assert editor.get("/p/tern/revisions/new/").context["form"].initial == {"parent": "A"}
    given = {"label": "B", "parent": "A", "power_input": "9 to 16 V", "drawn_on": "2026-04-01"}
    editor.post("/p/tern/revisions/new/", given)
    revision = Revision.objects.get(label="B")
    assert (str(revision.parent), str(revision.drawn_on)) == ("A", "2026-04-01")


def test_how_to_power_a_revision_stands_on_the_project(editor: Client) -> None:
    editor.post("/p/tern/revisions/A/edit/", {"never_connect": "J7 to a logic-level adaptor"})
    assert "J7 to a logic-level adaptor" in editor.get("/p/tern/").content.decode()


def test_a_revision_keeps_its_label_and_parent(editor: Client) -> None:
    editor.post("/p/tern/revisions/A/edit/", {"label": "Z", "summary": "new"})
    assert Revision.objects.get().label == "A"


def test_an_option_has_the_positions_of_its_lines(editor: Client) -> None:
    assert editor.post("/p/tern/options/new/", OPTION)["Location"] == "/p/tern/options/JP3/edit/"
    positions = Option.objects.get().positions.values_list("name", "meaning")
    assert list(positions) == [("1-2", "flash"), ("2-3", "loader")]


@pytest.mark.parametrize(("choice", "expected"), [("at 1-2", "1-2"), ("none", None)])
def test_the_position_by_design_is_recorded(
    editor: Client, bench: Bench, choice: str, expected: str | None
) -> None:
    editor.post("/p/tern/options/new/", OPTION)
    editor.post("/p/tern/options/JP3/edit/", {"name": "boot source", f"on_{bench.revision.pk}": choice})
    position = DesignedPosition.objects.get().position
    assert (position.name if position else None) == expected


def test_no_choice_records_no_position(editor: Client, bench: Bench) -> None:
    editor.post("/p/tern/options/new/", OPTION)
    editor.post("/p/tern/options/JP3/edit/", {"name": "boot", f"on_{bench.revision.pk}": ""})
    assert not DesignedPosition.objects.exists()
    assert Option.objects.get().name == "boot"


def test_an_option_gains_positions_and_loses_none(editor: Client) -> None:
    editor.post("/p/tern/options/new/", OPTION)
    editor.post("/p/tern/options/JP3/edit/", {"name": "boot source", "positions": "open: neither"})
    assert Option.objects.get().positions.count() == 3


@pytest.mark.parametrize("address", ["subsystems/XXX", "revisions/XXX", "options/XXX"])
def test_what_is_not_there_is_not_found(editor: Client, address: str) -> None:
    assert editor.get(f"/p/tern/{address}/edit/").status_code == 404
