"""Projects: creating, changing, shelving, members, and the page that shows one."""

from __future__ import annotations

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from logbook.common.models import ChangeRecord
from logbook.projects.commands import create_project, set_member, set_project_state
from logbook.projects.models import Membership, Project
from tests.builders import Bench, build_bench

NEW = {"name": "Dipper", "slug": "dipper", "characteristics": "audio-path, external-dram audio-path"}


@pytest.fixture
def owner(bench: Bench, client: Client) -> Client:
    """Return a browser in which the owner is signed in."""
    client.force_login(bench.owner)
    return client


def text_of(client: Client, address: str) -> str:
    return client.get(address).content.decode()


def test_who_creates_a_project_owns_it(owner: Client, bench: Bench) -> None:
    assert owner.post("/projects/new/", NEW)["Location"] == "/p/dipper/"
    project = Project.objects.get(slug="dipper")
    assert Membership.objects.get(project=project).user == bench.owner
    assert [tag.name for tag in project.characteristics.all()] == ["audio-path", "external-dram"]


def test_the_short_name_is_made_of_the_name_when_left_empty(owner: Client) -> None:
    assert owner.post("/projects/new/", {"name": "Great Auk 2", "slug": ""})["Location"] == "/p/great-auk-2/"


def test_a_name_that_makes_no_short_name_asks_for_one(owner: Client) -> None:
    answer = owner.post("/projects/new/", {"name": "日本", "slug": ""})
    assert "slug" in answer.context["form"].errors


@pytest.mark.parametrize(
    ("change", "field"),
    [({"slug": "tern"}, "slug"), ({"slug": "Not Good"}, "slug"), ({"name": ""}, "name")],
    ids=["taken", "bad signs", "no name"],
)
def test_what_a_command_refuses_stands_at_its_field(
    owner: Client, change: dict[str, str], field: str
) -> None:
    answer = owner.post("/projects/new/", NEW | change)
    assert field in answer.context["form"].errors
    assert not Project.objects.filter(name="Dipper").exists()


def test_a_bad_characteristic_is_named(owner: Client) -> None:
    answer = owner.post("/projects/new/", NEW | {"characteristics": "Äpfel"})
    assert "lower-case" in answer.content.decode()
    assert not Project.objects.filter(slug="dipper").exists()


def test_changes_are_recorded_with_who_and_what(owner: Client, bench: Bench) -> None:
    hours = {f"hours_s{number}": number for number in range(1, 6)}
    owner.post("/p/tern/edit/", {"name": "Tern", "purpose": "To **listen**.", **hours})
    bench.project.refresh_from_db()
    assert bench.project.hours == (1, 2, 3, 4, 5)
    change = ChangeRecord.objects.filter(kind="project", action="changed").first()
    assert change is not None
    assert (change.actor, change.via, change.fields["purpose"]) == (
        bench.owner,
        "page",
        ["", "To **listen**."],
    )


def test_a_form_sent_unchanged_changes_nothing(owner: Client) -> None:
    form = owner.get("/p/tern/edit/").context["form"]
    before = ChangeRecord.objects.count()
    sent = {name: value for name, value in form.initial.items() if value not in (None, False)}
    owner.post("/p/tern/edit/", sent)
    assert ChangeRecord.objects.count() == before


def test_a_tie_to_an_unseen_project_is_neither_shown_nor_cut(owner: Client, bench: Bench) -> None:
    hidden = build_bench("heron")
    Project.objects.filter(pk=bench.project.pk).update(part_of=hidden.project)
    assert "Heron" not in text_of(owner, "/p/tern/")
    assert "part_of" not in owner.get("/p/tern/edit/").context["form"].fields
    owner.post("/p/tern/edit/", {"name": "Tern 2"} | {f"hours_s{number}": 1 for number in range(1, 6)})
    bench.project.refresh_from_db()
    assert (bench.project.name, bench.project.part_of) == ("Tern 2", hidden.project)


def test_a_purpose_is_shown_as_markdown_that_runs_nothing(owner: Client, bench: Bench) -> None:
    Project.objects.filter(pk=bench.project.pk).update(purpose="To **listen**. <script>alert(1)</script>")
    html = text_of(owner, "/p/tern/")
    assert "<strong>listen</strong>" in html
    assert "<script>" not in html


def test_shelving_keeps_the_note_for_the_return(owner: Client) -> None:
    owner.post("/p/tern/state/", {"state": "shelved", "note": "First check the *soak*."})
    html = text_of(owner, "/p/tern/")
    assert "shelved since" in html
    assert "<em>soak</em>" in html


def test_a_new_member_is_let_in_by_name(owner: Client, bench: Bench) -> None:
    owner.post("/p/tern/members/", {"user": "stranger-tern", "role": "reader"})
    owner.force_login(bench.stranger)
    assert owner.get("/p/tern/").status_code == 200


def test_an_unknown_name_is_refused_at_its_field(owner: Client) -> None:
    answer = owner.post("/p/tern/members/", {"user": "nobody", "role": "reader"})
    assert "there is no active person" in str(answer.context["form"].errors["user"]).lower()


def test_the_last_owner_stays(owner: Client, bench: Bench) -> None:
    answer = owner.post("/p/tern/members/", {"user": "owner-tern", "role": "owner", "remove": "yes"})
    assert "is the only owner" in answer.content.decode()
    assert Membership.objects.filter(user=bench.owner, role="owner").exists()


def test_an_owner_may_leave_when_there_is_another(owner: Client, bench: Bench) -> None:
    set_member(actor=bench.actor, project=bench.project, user=bench.editor, role="owner")
    answer = owner.post("/p/tern/members/", {"user": "owner-tern", "role": "owner", "remove": "yes"})
    assert answer["Location"] == "/"


def test_only_owners_change_members(bench: Bench, client: Client) -> None:
    client.force_login(bench.editor)
    assert client.post("/p/tern/members/", {"user": "stranger-tern", "role": "owner"}).status_code == 403
    assert "Let somebody in" not in text_of(client, "/p/tern/members/")


def test_the_doors_say_what_they_hold(owner: Client, bench: Bench) -> None:
    bench.target()
    bench.target("RLD-5", "<= 30 mVpp")
    bench.read("3.9", expanded_uncertainty="0.001")
    doors = owner.get("/p/tern/").context["doors"]
    assert doors.next_spin == "Revision A: 1 failing, 1 of 2 targets not read as designed"
    assert doors.bench == "Pick a board and go on"
    assert doors.look_back.startswith("Last reading on 20")


def test_an_empty_project_says_what_to_do_first(owner: Client, bench: Bench) -> None:
    create_project(actor=bench.actor, owner=bench.owner, slug="empty", name="Empty")
    html = text_of(owner, "/p/empty/")
    for words in ("Begin here", "No revision yet", "Boards are built to a revision"):
        assert words in html


def test_a_person_without_projects_is_told_how_to_begin(bench: Bench, client: Client) -> None:
    client.force_login(bench.stranger)
    assert "Begin with a project" in text_of(client, "/")


@pytest.mark.parametrize(
    ("asked", "names"),
    [("", ["Dipper", "Tern"]), ("?state=shelved", ["Dipper"]), ("?q=dram", ["Dipper"]), ("?q=zzz", [])],
)
def test_the_list_is_narrowed(owner: Client, bench: Bench, asked: str, names: list[str]) -> None:
    dipper = create_project(
        actor=bench.actor, owner=bench.owner, slug="dipper", name="Dipper", characteristics=["external-dram"]
    )
    set_project_state(actor=bench.actor, project=dipper, state="shelved")
    assert [project.name for project in owner.get(f"/{asked}").context["projects"]] == names


def test_the_list_costs_the_same_for_many_projects(
    owner: Client, bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(12):
        create_project(
            actor=bench.actor,
            owner=bench.owner,
            slug=f"p{number}",
            name=f"P{number}",
            characteristics=["codec"],
        )
    with django_assert_num_queries(4):  # session, person, projects, characteristics
        owner.get("/")


def test_the_page_costs_the_same_for_many_boards(
    owner: Client, bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    bench.target()
    for number in range(2, 14):
        bench.extra_board(f"00{number:02}")
        bench.read("3.3", board=f"00{number:02}")
    # Session, person, membership; revisions, boards, characteristics, relatives, state; four for the
    # doors; subsystems (2), options, what differs on boards (3), sessions, readings.
    with django_assert_num_queries(19):
        owner.get("/p/tern/")
