"""Rows stored past the framework's own statements read back as the framework stores them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.db import IntegrityError, transaction

from logbook.bench.models import FailingSpan, Target
from logbook.common.bulk import delete_rows, insert_rows, next_ids, upsert_rows
from logbook.common.models import ChangeRecord
from tests.builders import Bench

NOON = datetime(2024, 3, 1, 12, 0, tzinfo=UTC)
PLACE = ("target_id", "board_id", "begins")


@pytest.fixture
def target(bench: Bench) -> Target:
    return bench.target()


def spans() -> list[tuple[datetime, datetime | None]]:
    return list(FailingSpan.objects.values_list("begins", "ends"))


def test_moments_and_nothing_are_stored_as_the_framework_stores_them(bench: Bench, target: Target) -> None:
    place = (target.pk, bench.board.pk)
    insert_rows(FailingSpan, (*PLACE, "ends"), [(*place, NOON, None)])
    assert FailingSpan.objects.filter(begins=NOON, ends__isnull=True).count() == 1


def test_json_and_text_survive_the_way(bench: Bench) -> None:
    fields = {"name": ["a\tb\\n", "µ \u2603 'quoted', \"twice\""]}
    names = ("id", "at", "actor_id", "via", "action", "kind", "object_id", "project_id", "title", "fields")
    (pk,) = next_ids(ChangeRecord, 1)
    row = (pk, NOON, None, "api", "added", "target", 1, bench.project.pk, "tab\tand\nline", fields)
    insert_rows(ChangeRecord, names, [row])
    kept = ChangeRecord.objects.get(pk=pk)
    assert (kept.title, kept.fields, kept.at) == ("tab\tand\nline", fields, NOON)


def test_ids_taken_ahead_are_free_and_not_given_again(bench: Bench, target: Target) -> None:
    before = FailingSpan.objects.create(target=target, board=bench.board, begins=NOON)
    first, second = next_ids(FailingSpan, 2)
    insert_rows(FailingSpan, ("id", *PLACE), [(second, target.pk, bench.board.pk, NOON + timedelta(1))])
    after = FailingSpan.objects.create(target=target, board=bench.board, begins=NOON + timedelta(2))
    assert before.pk < first < second < after.pk


def test_a_row_that_is_there_gets_the_other_values(bench: Bench, target: Target) -> None:
    place = (target.pk, bench.board.pk, NOON)
    for ends in (None, NOON + timedelta(hours=1)):
        upsert_rows(FailingSpan, (*PLACE, "ends"), [(*place, ends)], unique=PLACE)
    assert spans() == [(NOON, NOON + timedelta(hours=1))]


def test_a_row_that_may_not_be_there_twice_is_refused(bench: Bench, target: Target) -> None:
    row = (target.pk, bench.board.pk, NOON)
    with pytest.raises(IntegrityError), transaction.atomic():
        insert_rows(FailingSpan, PLACE, [row, row])
    assert spans() == []


def test_only_the_rows_named_are_deleted(bench: Bench, target: Target) -> None:
    rows = [(target.pk, bench.board.pk, NOON + timedelta(days=day)) for day in range(3)]
    insert_rows(FailingSpan, PLACE, rows)
    delete_rows(FailingSpan, PLACE, rows[:2])
    assert spans() == [(NOON + timedelta(days=2), None)]


def test_no_rows_cost_no_query(bench: Bench, django_assert_num_queries: object) -> None:
    with django_assert_num_queries(0):  # type: ignore[operator]
        insert_rows(FailingSpan, PLACE, [])
        upsert_rows(FailingSpan, (*PLACE, "ends"), [], unique=PLACE)
        delete_rows(FailingSpan, PLACE, [])
