"""Access is decided in one place, and what is not yours is not there."""

from __future__ import annotations

import pytest

from logbook.common.errors import DomainError, NotAllowedError, NotFoundError
from logbook.projects.commands import change_project, set_member
from logbook.projects.queries import project_for, projects_visible_to, relatives_of, role_of
from tests.builders import Bench, build_bench

DEEDS = ("read", "record", "edit", "manage")
ALLOWED = {"owner": set(DEEDS), "editor": {"read", "record", "edit"}, "reader": {"read"}, "stranger": set()}


@pytest.mark.parametrize("may", DEEDS)
@pytest.mark.parametrize("who", ALLOWED)
def test_each_role_may_do_its_own(bench: Bench, who: str, may: str) -> None:
    user = getattr(bench, who)
    if may in ALLOWED[who]:
        assert project_for(user, "tern", may=may) == bench.project
        return
    expected: type[DomainError] = NotFoundError if who == "stranger" else NotAllowedError
    with pytest.raises(expected):
        project_for(user, "tern", may=may)


def test_a_refusal_speaks_of_an_editor(bench: Bench) -> None:
    with pytest.raises(NotAllowedError, match="^an editor may not manage"):
        project_for(bench.editor, "tern", may="manage")


def test_a_stranger_hears_the_same_as_about_a_project_that_is_not_there(bench: Bench) -> None:
    messages = []
    for slug in ("tern", "nest"):
        with pytest.raises(NotFoundError) as caught:
            project_for(bench.stranger, slug)
        messages.append(str(caught.value).replace(slug, "…"))
    assert messages[0] == messages[1]


def test_a_list_shows_only_ones_own_projects(bench: Bench) -> None:
    other = build_bench("heron")
    assert list(projects_visible_to(bench.owner)) == [bench.project]
    set_member(actor=other.actor, project=other.project, user=bench.owner, role="reader")
    assert [(one.slug, one.role) for one in projects_visible_to(bench.owner)] == [
        ("heron", "reader"),
        ("tern", "owner"),
    ]
    assert not projects_visible_to(bench.stranger).exists()


@pytest.mark.parametrize(
    ("text", "state", "found"),
    [("TER", "", 1), ("dram", "", 1), ("heron", "", 0), ("", "shelved", 0), ("ter", "active", 1)],
)
def test_a_list_is_filtered_by_text_and_state(bench: Bench, text: str, state: str, found: int) -> None:
    change_project(actor=bench.actor, project=bench.project, values={}, characteristics=["external-dram"])
    assert projects_visible_to(bench.owner, text=text, state=state).count() == found


def test_a_project_found_twice_is_listed_once(bench: Bench) -> None:
    change_project(actor=bench.actor, project=bench.project, values={}, characteristics=["tern-a", "tern-b"])
    assert len(projects_visible_to(bench.owner, text="tern")) == 1


def test_relatives_that_are_not_yours_are_not_there(bench: Bench) -> None:
    other = build_bench("heron")
    change_project(actor=bench.actor, project=bench.project, values={"part_of": other.project})
    assert relatives_of(bench.project, bench.owner).part_of is None
    assert relatives_of(other.project, bench.owner).parts == (bench.project,)
    set_member(actor=other.actor, project=other.project, user=bench.owner, role="reader")
    assert relatives_of(bench.project, bench.owner).part_of == other.project


@pytest.mark.parametrize("who", ["owner", "editor", "reader", "stranger"])
def test_the_role_of_a_person(bench: Bench, who: str) -> None:
    assert role_of(getattr(bench, who), bench.project) == ("" if who == "stranger" else who)
