"""Looking back."""

from __future__ import annotations

from dataclasses import fields

from django.test import Client

from logbook.bench.commands import open_bench_session
from logbook.projects.models import Project, Revision
from logbook.web.views.look_back import LookBackPage
from tests.builders import Bench

PAGE = "/p/tern/look-back/"


def test_it_names_what_was_never_verified(bench: Bench, client: Client) -> None:
    bench.target("RLD-2")
    bench.target("RLD-5", "<= 30 mVpp")
    bench.read("3.3")
    client.force_login(bench.reader)
    groups = client.get(PAGE).context["never_verified"]
    assert [(group.state, [row.target.key for row in group.rows]) for group in groups] == [
        ("never tried", ["RLD-5"])
    ]


def test_it_says_where_the_last_session_stopped(bench: Bench, client: Client) -> None:
    open_bench_session(
        actor=bench.actor, project=bench.project, title="rails", values={"next_step": "dummy load first"}
    )
    client.force_login(bench.reader)
    assert "dummy load first" in client.get(PAGE).content.decode()


def test_it_gives_the_template_every_field_of_the_page(bench: Bench, client: Client) -> None:
    client.force_login(bench.reader)
    assert {field.name for field in fields(LookBackPage)} <= set(client.get(PAGE).context.keys())


def test_a_project_without_a_revision_says_what_to_do_first(bench: Bench, client: Client) -> None:
    bench.board.events.all().delete()
    bench.board.delete()
    Revision.objects.filter(project=bench.project).delete()
    assert Project.objects.get().revisions.count() == 0
    client.force_login(bench.owner)
    assert "Add a revision" in client.get(PAGE).content.decode()


def test_a_stranger_finds_nothing(bench: Bench, client: Client) -> None:
    client.force_login(bench.stranger)
    assert client.get(PAGE).status_code == 404
