"""No table can be forgotten by the archive."""

from __future__ import annotations

import pytest
from django.apps import apps

from logbook.recall.archive.records import EXCLUDED, RECORDS

OURS = {
    model._meta.label: model
    for model in apps.get_models()
    if model.__module__.startswith(("logbook.", "api."))
}
WRITTEN = {record.model._meta.label for record in RECORDS}


def test_every_table_is_written_or_left_out_with_a_reason() -> None:
    """Whoever adds a table adds its record type, or says in ``EXCLUDED`` why it needs none."""
    assert WRITTEN | set(EXCLUDED) == set(OURS)
    assert WRITTEN & set(EXCLUDED) == set()


@pytest.mark.parametrize("reason", EXCLUDED.values(), ids=EXCLUDED)
def test_what_is_left_out_has_a_reason(reason: str) -> None:
    assert len(reason.split()) > 3


@pytest.mark.parametrize("record", RECORDS, ids=[record.name for record in RECORDS])
def test_every_field_of_a_table_is_written(record) -> None:
    allowed = {"id", "project"} if record.path == "project" else {"id"}
    if record.only:
        return
    columns = {one.name for one in (*record.model._meta.concrete_fields, *record.model._meta.many_to_many)}
    assert columns - record.names <= allowed | record.left_out


@pytest.mark.parametrize("record", RECORDS, ids=[record.name for record in RECORDS])
def test_what_a_line_names_stands_before_it(record) -> None:
    before = {one.model for one in RECORDS[: RECORDS.index(record) + 1]}
    named = {one.related_model for one in (*record.fields, *record.lists) if one.is_relation}
    assert {one._meta.label for one in named - before} <= {"accounts.User"}
