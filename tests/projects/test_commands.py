"""Projects, their people, subsystems, revisions and options."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from logbook.common.errors import ConflictError, DomainError, InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.projects.commands import (
    add_option,
    add_revision,
    add_subsystem,
    change_option,
    change_project,
    change_revision,
    change_subsystem,
    create_project,
    remove_member,
    set_member,
    set_project_state,
)
from logbook.projects.models import Membership, Project, SubsystemDependency
from logbook.projects.queries import lineages
from tests.builders import Bench, build_bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)


def named(bench: Bench, slug: str, **given: object) -> Project:
    return create_project(actor=bench.actor, owner=bench.owner, slug=slug, name=slug, **given)


@pytest.mark.parametrize("slug", ["", "Tern", "a b", "-x", "../etc", "x\n", "ä", "x" * 61], ids=ascii)
def test_a_short_name_is_plain(bench: Bench, slug: str) -> None:
    with pytest.raises(InvalidInputError):
        named(bench, slug)


def test_a_short_name_serves_one_project(bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="taken") as caught:
        named(bench, "tern")
    assert caught.value.problems[0].code == "taken"


@pytest.mark.parametrize("field", ["part_of", "descends_from"])
def test_a_project_is_not_above_itself(bench: Bench, field: str) -> None:
    child = named(bench, "child", **{field: bench.project})
    grandchild = named(bench, "grandchild", **{field: child})
    for other in (bench.project, child, grandchild):
        with pytest.raises(InvalidInputError, match="its own") as caught:
            change_project(actor=bench.actor, project=bench.project, values={field: other})
        assert (caught.value.problems[0].field, caught.value.problems[0].code) == (field, "circle")
    assert getattr(Project.objects.get(pk=bench.project.pk), field) is None


def test_characteristics_are_replaced_as_a_whole(bench: Bench) -> None:
    def change(*names: str) -> list[str]:
        change_project(actor=bench.actor, project=bench.project, values={}, characteristics=names)
        return list(bench.project.characteristics.values_list("name", flat=True))

    assert change("adc", "external-dram", "adc", " ") == ["adc", "external-dram"]
    assert change("adc", "dac") == ["adc", "dac"]
    records = ChangeRecord.objects.count()
    assert change("dac", "adc") == ["adc", "dac"]
    assert ChangeRecord.objects.count() == records
    assert change() == []


def test_a_bad_characteristic_leaves_the_old_ones(bench: Bench) -> None:
    change_project(actor=bench.actor, project=bench.project, values={}, characteristics=["adc"])
    with pytest.raises(InvalidInputError):
        change_project(actor=bench.actor, project=bench.project, values={}, characteristics=["Not Plain"])
    assert list(bench.project.characteristics.values_list("name", flat=True)) == ["adc"]


def test_hours_saved_are_not_negative(bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="negative"):
        change_project(actor=bench.actor, project=bench.project, values={"hours_s1": -1})


def test_the_newest_state_event_wins_whatever_the_order_of_entry(bench: Bench) -> None:
    for state, days in [("shelved", 10), ("finished", 20), ("active", 5)]:
        set_project_state(
            actor=bench.actor, project=bench.project, state=state, at=NOON + timedelta(days=days)
        )
    assert Project.objects.get(pk=bench.project.pk).state == "finished"
    assert bench.project.state_events.count() == 3


def test_a_state_is_one_of_the_known_words(bench: Bench) -> None:
    with pytest.raises(InvalidInputError):
        set_project_state(actor=bench.actor, project=bench.project, state="paused")
    assert not bench.project.state_events.exists()


def test_a_role_is_given_once_and_then_changed(bench: Bench) -> None:
    for role in ("reader", "editor", "editor"):
        set_member(actor=bench.actor, project=bench.project, user=bench.stranger, role=role)
    assert Membership.objects.get(user=bench.stranger).role == "editor"
    changes = ChangeRecord.objects.filter(kind="membership", action="changed")
    assert [one.fields for one in changes] == [{"role": ["reader", "editor"]}]


def test_an_unknown_role_is_refused(bench: Bench) -> None:
    with pytest.raises(InvalidInputError):
        set_member(actor=bench.actor, project=bench.project, user=bench.stranger, role="king")


def test_the_last_owner_stays_an_owner(bench: Bench) -> None:
    with pytest.raises(ConflictError, match="only owner"):
        set_member(actor=bench.actor, project=bench.project, user=bench.owner, role="editor")
    with pytest.raises(ConflictError, match="only owner"):
        remove_member(actor=bench.actor, project=bench.project, user=bench.owner)
    assert Membership.objects.get(user=bench.owner).role == "owner"


def test_an_owner_may_leave_when_another_stays(bench: Bench) -> None:
    set_member(actor=bench.actor, project=bench.project, user=bench.editor, role="owner")
    remove_member(actor=bench.actor, project=bench.project, user=bench.owner)
    assert not Membership.objects.filter(project=bench.project, user=bench.owner).exists()


def test_an_owner_elsewhere_does_not_count(bench: Bench) -> None:
    other = build_bench("heron")
    set_member(actor=bench.actor, project=other.project, user=bench.owner, role="owner")
    with pytest.raises(ConflictError):
        remove_member(actor=bench.actor, project=bench.project, user=bench.owner)


def test_removing_nobody_changes_nothing(bench: Bench) -> None:
    records = ChangeRecord.objects.count()
    remove_member(actor=bench.actor, project=bench.project, user=bench.stranger)
    assert ChangeRecord.objects.count() == records


def test_subsystems_do_not_depend_on_each_other_in_a_circle(bench: Bench) -> None:
    for key, needs in [("A", []), ("B", ["A"]), ("C", ["B"])]:
        add_subsystem(
            actor=bench.actor, project=bench.project, key=key, name=key, kind="other", depends_on=needs
        )
    first = bench.project.subsystems.get(key="A")
    for needs in (["C"], ["A"], ["B", "RLD"]):
        with pytest.raises(InvalidInputError) as caught:
            change_subsystem(actor=bench.actor, subsystem=first, values={}, depends_on=needs)
        assert caught.value.problems[0].code == "circle"
    assert SubsystemDependency.objects.count() == 2


def test_a_circle_takes_back_the_whole_change(bench: Bench) -> None:
    with pytest.raises(InvalidInputError):
        change_subsystem(
            actor=bench.actor, subsystem=bench.subsystem, values={"name": "new"}, depends_on=["RLD"]
        )
    bench.subsystem.refresh_from_db()
    assert bench.subsystem.name == "digital rails"


def test_a_subsystem_depends_on_one_of_its_own_project(bench: Bench) -> None:
    other = build_bench("heron")
    add_subsystem(actor=other.actor, project=other.project, key="SECRET", name="s", kind="other")
    with pytest.raises(InvalidInputError) as caught:
        change_subsystem(actor=bench.actor, subsystem=bench.subsystem, values={}, depends_on=["SECRET"])
    assert caught.value.problems[0].allowed == "RLD"


@pytest.mark.parametrize("label", ["A", "", "a b", "x" * 21])
def test_a_label_is_plain_and_serves_one_revision(bench: Bench, label: str) -> None:
    with pytest.raises(InvalidInputError):
        add_revision(actor=bench.actor, project=bench.project, label=label)


def test_a_parent_belongs_to_the_same_project(bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="another project"):
        add_revision(
            actor=bench.actor, project=bench.project, label="B", parent=build_bench("heron").revision
        )


def test_a_line_of_revisions_is_nearest_first(bench: Bench) -> None:
    second = add_revision(actor=bench.actor, project=bench.project, label="B", parent=bench.revision)
    third = add_revision(actor=bench.actor, project=bench.project, label="C", parent=second)
    assert lineages(bench.project)[third.pk] == (third.pk, second.pk, bench.revision.pk)


def test_power_up_facts_are_changed_with_a_record(bench: Bench) -> None:
    change_revision(actor=bench.actor, revision=bench.revision, values={"current_limit": "100 mA"})
    record = ChangeRecord.objects.filter(kind="revision", action="changed").get()
    assert record.fields == {"current_limit": ["150 mA", "100 mA"]}


@pytest.mark.parametrize(
    "positions", [(), (("in", ""), ("in", "")), (("", ""),)], ids=["none", "twice", "unnamed"]
)
def test_an_option_has_positions_with_names_of_their_own(
    bench: Bench, positions: tuple[tuple[str, str], ...]
) -> None:
    with pytest.raises(DomainError):
        add_option(
            actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="j",
            positions=positions,
        )  # fmt: skip
    assert not bench.project.options.exists()


def test_an_option_may_get_more_positions(bench: Bench) -> None:
    option = add_option(
        actor=bench.actor, project=bench.project, subsystem=bench.subsystem, key="JP1", name="j",
        positions=[("in", "")],
    )  # fmt: skip
    change_option(actor=bench.actor, option=option, values={"note": "n"}, new_positions=[("out", "off")])
    assert list(option.positions.values_list("name", flat=True)) == ["in", "out"]


def test_an_option_belongs_to_a_subsystem_of_its_project(bench: Bench) -> None:
    with pytest.raises(InvalidInputError, match="another project"):
        add_option(
            actor=bench.actor, project=bench.project, subsystem=build_bench("heron").subsystem, key="JP1",
            name="j", positions=[("in", "")],
        )  # fmt: skip


def test_a_bad_characteristic_is_named_as_such(bench: Bench) -> None:
    with pytest.raises(InvalidInputError) as refused:
        change_project(actor=bench.actor, project=bench.project, values={}, characteristics=["Mains powered"])
    assert [problem.field for problem in refused.value.problems] == ["characteristics"]
