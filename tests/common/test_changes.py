"""The record of changes: who, when, through which door, old and new."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from logbook.accounts.models import User
from logbook.common import clock
from logbook.common.changes import Actor, store_changes, store_new
from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.common.queries import changes_of_project, kinds_changed_in
from logbook.projects.models import Characteristic, Subsystem
from tests.builders import Bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)


def newest() -> ChangeRecord:
    return ChangeRecord.objects.order_by("-id")[0]


def test_it_records_who_when_what_and_through_which_door(bench: Bench) -> None:
    with clock.standing_at(NOON):
        store_changes(bench.subsystem, {"name": "rails"}, actor=Actor(bench.editor, "api"))
    record = newest()
    assert (record.actor, record.via, record.at) == (bench.editor, "api", NOON)
    assert (record.action, record.kind, record.title) == ("changed", "subsystem", "RLD")
    assert (record.object_id, record.project_id) == (bench.subsystem.pk, bench.project.pk)
    assert record.fields == {"name": ["digital rails", "rails"]}


def test_it_records_what_was_added(bench: Bench) -> None:
    subsystem = Subsystem(project=bench.project, key="CLK", name="clocks", kind="clocks")
    store_new(subsystem, actor=bench.actor)
    assert (newest().action, newest().object_id) == ("added", subsystem.pk)


def test_an_unchanged_object_is_not_written(bench: Bench, django_assert_num_queries: Any) -> None:
    before = ChangeRecord.objects.count()
    with django_assert_num_queries(0):
        changed = store_changes(bench.subsystem, {"name": "digital rails"}, actor=bench.actor)
    assert (changed, ChangeRecord.objects.count()) == ({}, before)


def test_only_named_fields_are_written(bench: Bench) -> None:
    Subsystem.objects.filter(pk=bench.subsystem.pk).update(purpose="written by somebody else")
    store_changes(bench.subsystem, {"name": "rails"}, actor=bench.actor)
    assert Subsystem.objects.get(pk=bench.subsystem.pk).purpose == "written by somebody else"


def test_a_row_removed_meanwhile_is_a_conflict(bench: Bench) -> None:
    tag = Characteristic.objects.create(project=bench.project, name="adc")
    Characteristic.objects.filter(pk=tag.pk).delete()
    with pytest.raises(ConflictError, match="removed by somebody else"):
        store_changes(tag, {"name": "dac"}, actor=bench.actor)


def test_what_breaks_a_rule_is_not_written_and_names_its_field(bench: Bench) -> None:
    with pytest.raises(InvalidInputError) as caught:
        store_changes(bench.subsystem, {"kind": "magic"}, actor=bench.actor)
    assert [problem.field for problem in caught.value.problems] == ["kind"]
    assert Subsystem.objects.get(pk=bench.subsystem.pk).kind == "power"


def test_changes_are_read_newest_first_by_kind_and_text(bench: Bench) -> None:
    assert newest() == changes_of_project(bench.project.pk)[0]
    assert [one.title for one in changes_of_project(bench.project.pk, kind="subsystem")] == ["RLD"]
    assert [one.kind for one in changes_of_project(bench.project.pk, text="0001", kind="board")] == ["board"]
    assert "subsystem" in kinds_changed_in(bench.project.pk)


def test_changes_of_another_project_are_not_among_them(bench: Bench) -> None:
    assert not changes_of_project(bench.project.pk + 1).exists()


def test_a_change_by_nobody_has_no_name(db: None) -> None:
    store_new(User(username="iv", password="x"), actor=Actor(None, "command"))
    assert newest().actor is None
