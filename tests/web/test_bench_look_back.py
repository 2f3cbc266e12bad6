"""Looking back, and the note of the last day."""

from __future__ import annotations

from dataclasses import fields

import pytest
from django.test import Client

from logbook.bench.commands import open_bench_session
from logbook.projects.commands import set_project_state, write_shelving_note
from logbook.projects.models import Project, Revision, ShelvingNote
from logbook.web.views.look_back import LookBackPage
from tests.builders import Bench
from tests.web.contexts import received

PAGE = "/p/tern/look-back/"
NOTE = "/p/tern/shelving-note/"


@pytest.fixture
def reader(bench: Bench, client: Client) -> Client:
    client.force_login(bench.reader)
    return client


@pytest.fixture
def owner(bench: Bench, client: Client) -> Client:
    client.force_login(bench.owner)
    return client


def test_it_names_what_was_never_verified(bench: Bench, reader: Client) -> None:
    bench.target("RLD-2")
    bench.target("RLD-5", "<= 30 mVpp")
    bench.read("3.3")
    assert reader.get(PAGE).context["brief"].never_verified == ("RLD-5",)


def test_it_says_where_the_last_session_stopped(bench: Bench, reader: Client) -> None:
    open_bench_session(
        actor=bench.actor, project=bench.project, title="rails", values={"next_step": "dummy load first"}
    )
    assert "dummy load first" in reader.get(PAGE).content.decode()


def test_it_gives_the_template_every_field_of_the_page(bench: Bench, reader: Client) -> None:
    assert received(reader.get(PAGE)) == {field.name for field in fields(LookBackPage)}


def test_a_project_without_a_revision_says_what_to_do_first(bench: Bench, owner: Client) -> None:
    bench.board.events.all().delete()
    bench.board.delete()
    Revision.objects.filter(project=bench.project).delete()
    assert Project.objects.get().revisions.count() == 0
    assert "Add a revision" in owner.get(PAGE).content.decode()


def test_a_stranger_finds_nothing(bench: Bench, client: Client) -> None:
    client.force_login(bench.stranger)
    assert client.get(PAGE).status_code == 404
    assert client.get(NOTE).status_code == 404


@pytest.mark.parametrize("day", ["2999-01-01", "yesterday"])
def test_a_day_that_cannot_be_shown_is_said_at_its_field(day: str, reader: Client) -> None:
    answer = reader.get(PAGE, {"as_of": day})
    assert answer.status_code == 400
    assert answer.context["form"].errors["as_of"]


def test_the_note_stands_on_top_with_its_name(bench: Bench, reader: Client) -> None:
    set_project_state(actor=bench.actor, project=bench.project, state="shelved")
    write_shelving_note(
        actor=bench.actor,
        project=bench.project,
        texts={"unsafe": "The cell is *charged*.", "files": "Kept *cold*."},
    )
    html = reader.get(PAGE).content.decode()
    assert "The cell is charged." in html
    assert "*charged*" not in html
    assert "<em>cold</em>" in html
    assert f", {bench.owner}</h3>" in html


def test_without_a_note_it_says_so_and_shows_what_was_said(bench: Bench, reader: Client) -> None:
    set_project_state(actor=bench.actor, project=bench.project, state="shelved", note="no money")
    html = reader.get(PAGE).content.decode()
    assert "no shelving note was written" in html
    assert "no money" in html


def test_shelving_leads_to_the_note_with_a_draft_of_what_is_known(bench: Bench, owner: Client) -> None:
    bench.target("RLD-5", "<= 30 mVpp")
    answer = owner.post("/p/tern/state/", {"state": "shelved", "note": "no money"})
    assert answer.url == NOTE
    form = owner.get(NOTE).context["form"]
    assert form.initial["why_stopped"] == "no money"
    assert form.initial["never_verified"] == "RLD-5"


def test_nothing_of_the_note_is_forced_but_an_empty_one_is_refused(bench: Bench, owner: Client) -> None:
    set_project_state(actor=bench.actor, project=bench.project, state="shelved")
    assert "the note is empty" in owner.post(NOTE, {}).content.decode().lower()
    assert owner.post(NOTE, {"who_knows": "iv"}).url == PAGE
    assert ShelvingNote.objects.get().who_knows == "iv"


def test_a_reader_may_not_write_the_note(bench: Bench, reader: Client) -> None:
    assert reader.get(NOTE).status_code == 403
