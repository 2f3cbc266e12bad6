"""The change list of a revision, its forms, and the way back from an inherited state."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.bench.commands import record_rework
from logbook.projects.commands import add_change, add_revision, add_subsystem
from logbook.projects.models import Change, Revision
from logbook.web.views.changes import ChangesPage
from tests.builders import Bench

B = "/p/tern/rev/B/"
CHANGE = {
    "key": "F-01",
    "kind": "schematic",
    "what": "divider 68k over 15k",
    "why": "3.181 V",
    "subsystems": ["RLD"],
    "cause_kind": "finding",
    "cause": "F-01",
    "state": "planned",
}


@pytest.fixture
def child(bench: Bench) -> Revision:
    """Return revision B of a project with one target, verified on A."""
    bench.target(values={"minutes": 7})
    bench.read("3.3")
    return add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)


@pytest.fixture
def editor(bench: Bench, client: Client) -> Client:
    """Return a browser in which the editor is signed in."""
    client.force_login(bench.editor)
    return client


def change(bench: Bench, child: Revision, key: str = "F-01") -> Change:
    return add_change(
        actor=bench.actor, revision=child, key=key, kind="BOM", what="2k2", subsystems=[bench.subsystem]
    )


def text(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def test_an_empty_list_says_that_silence_is_no_evidence(editor: Client, child: Revision) -> None:
    page = text(editor, f"{B}changes/")
    assert "Silence is not evidence" in page
    assert "Record the first change" in page


def test_the_first_revision_has_nothing_to_be_changed_against(editor: Client, child: Revision) -> None:
    assert "Nothing to be changed against" in text(editor, "/p/tern/rev/A/changes/")


def test_the_page_gets_what_its_context_names(editor: Client, child: Revision) -> None:
    context = editor.get(f"{B}changes/").context
    assert all(field.name in context for field in fields(ChangesPage))


def test_a_change_is_recorded_through_its_form_and_says_what_it_makes_stale(
    editor: Client, bench: Bench, child: Revision
) -> None:
    rework = record_rework(
        actor=bench.actor, board=bench.board, key="RW-1", kind="part swap", intent="repair", what="R5",
        subsystems=[bench.subsystem],
    )  # fmt: skip
    answer = editor.post(f"{B}changes/new/", CHANGE | {"folds_in": [rework.pk]})
    assert (answer.status_code, answer["Location"]) == (302, f"{B}changes/")
    page = editor.get(f"{B}changes/")
    (one,) = page.context["changes"]
    assert ([row.target.key for row in one.stale], one.minutes) == (["RLD-2"], 7)
    assert "makes part of the drawing: RW-1 of 0001" in page.content.decode()


def test_a_wrong_key_is_shown_at_its_field(editor: Client, child: Revision) -> None:
    answer = editor.post(f"{B}changes/new/", CHANGE | {"key": "two words"})
    assert answer.status_code == 200
    assert "key" in answer.context["form"].errors
    assert not Change.objects.exists()


def test_a_change_moves_on_and_is_withdrawn(editor: Client, bench: Bench, child: Revision) -> None:
    change(bench, child)
    editor.post(f"{B}changes/F-01/edit/", CHANGE | {"state": "built"})
    assert Change.objects.get().state == "built"
    editor.post(f"{B}changes/F-01/withdraw/", {"because": "dropped"})
    assert Change.objects.get().withdrawn_because == "dropped"
    assert "No change recorded" in text(editor, f"{B}changes/")


def test_evidence_is_carried_over_in_ones_own_name(editor: Client, bench: Bench, child: Revision) -> None:
    change(bench, child)
    editor.post(f"{B}carry-overs/new/", {"target": "RLD-2", "argument": "only silk screen"})
    assert "carried over by editor-tern: only silk screen" in text(editor, B)
    editor.post(f"{B}carry-overs/RLD-2/withdraw/", {"because": "copper moved"})
    assert "F-01 of B touches RLD" in text(editor, B)


def test_a_carry_over_that_lapsed_says_so(editor: Client, bench: Bench, child: Revision) -> None:
    change(bench, child)
    editor.post(f"{B}carry-overs/new/", {"target": "RLD-2", "argument": "only silk screen"})
    assert "now stale" not in text(editor, f"{B}changes/")
    change(bench, child, "C2")
    page = text(editor, f"{B}changes/")
    assert "now stale: verified on A" in page
    assert "no longer: change C2 of B touches RLD" in page


def test_coverage_unfolds_the_way_back_to_the_reading(editor: Client, bench: Bench, child: Revision) -> None:
    change(bench, child)
    page = text(editor, B)
    reading = bench.project.measurements.get()
    assert '<span class="word cond inherited">stale</span>' in page
    assert "back to the reading on A" in page
    assert "weight 0: F-01 at RLD" in page
    assert f'href="/p/tern/measurements/{reading.pk}/"' in page


def test_what_an_older_revision_made_stale_has_its_own_row_so_that_sums_agree(
    editor: Client, bench: Bench, child: Revision
) -> None:
    other = add_subsystem(actor=bench.actor, project=bench.project, key="MCU", name="m", kind="processor")
    bench.target("MCU-1", subsystem=other, values={"minutes": 5})
    bench.read("3.3", "MCU-1")
    change(bench, child)
    third = add_revision(actor=bench.actor, project=bench.project, label="C", parent=child)
    for key in ("X-1", "X-2"):
        add_change(
            actor=bench.actor, revision=third, key=key, kind="BOM", what="another part", subsystems=[other]
        )
    answer = editor.get("/p/tern/rev/C/changes/")
    shown = answer.context
    rows = [*shown["changes"], *shown["before"]]
    assert [(one.label, one.changes, one.minutes) for one in shown["before"]] == [("B", ("F-01",), 7)]
    assert {row.target.key for one in rows for row in one.stale} == {"RLD-2", "MCU-1"}
    again = {row.target.key: row.target.minutes for one in rows for row in one.stale}
    assert (shown["stale"], shown["minutes"]) == (2, sum(again.values())) == (2, 12)
    assert shown["twice"] == ("MCU-1",)
    assert "Stale already through changes of B" in answer.content.decode()
    assert "MCU-1 stands in more than one row and counts once" in answer.content.decode()


def test_a_measured_state_is_not_shown_lighter(editor: Client, child: Revision) -> None:
    page = text(editor, "/p/tern/rev/A/")
    assert "inherited" not in page
    assert "back to the reading" not in page


def test_the_list_is_exported(editor: Client, bench: Bench, child: Revision) -> None:
    change(bench, child)
    header, line = text(editor, f"{B}changes.csv").splitlines()
    cells = dict(zip(header.split(","), line.split(","), strict=True))
    assert (cells["change"], cells["subsystems"], cells["makes_stale"], cells["minutes"]) == (
        "F-01",
        "RLD",
        "RLD-2",
        "7",
    )


@pytest.mark.parametrize(
    "address", ["changes/new/", "changes/F-01/edit/", "changes/F-01/withdraw/", "carry-overs/new/"]
)
def test_a_reader_may_not_write_and_a_stranger_learns_nothing(
    client: Client, bench: Bench, child: Revision, address: str
) -> None:
    change(bench, child)
    client.force_login(bench.reader)
    assert client.get(B + address).status_code == 403
    assert "Add a change" not in text(client, f"{B}changes/")
    client.force_login(bench.stranger)
    assert client.get(B + address).status_code == 404
    assert client.get(f"{B}changes/").status_code == 404


def test_its_cost_does_not_grow_with_changes(
    editor: Client, bench: Bench, child: Revision, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(12):
        change(bench, child, f"X{number}")
    with django_assert_max_num_queries(40):
        editor.get(f"{B}changes/")
