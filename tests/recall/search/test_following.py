"""The index follows what was recorded, and misses nothing."""

from __future__ import annotations

import pytest
from django.core.management import call_command
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from logbook.bench.commands import withdraw_measurement
from logbook.common.jobs import run_waiting
from logbook.common.models import ChangeRecord
from logbook.findings.commands import change_finding, record_finding
from logbook.recall.models import Document, Followed
from logbook.recall.search import following
from logbook.recall.search.following import _Gap, _remaining, bring_up_to_date
from tests.builders import Bench

NOW = timezone.now()


def titles(kind: str) -> set[str]:
    bring_up_to_date()
    return set(Document.objects.filter(kind=kind).values_list("title", flat=True))


def test_what_commands_write_is_found(bench: Bench) -> None:
    bench.target()
    reading = bench.read("3.301 V")
    assert titles("target") == {"RLD-2 invented target RLD-2"}
    assert titles("measurement") == {f"RLD-2 on 0001: {reading}"}
    assert titles("board") == {"board 0001"}


def test_a_change_makes_the_document_anew(bench: Bench) -> None:
    finding = record_finding(
        actor=bench.actor, project=bench.project, key="F-1", title="hum", subsystem=bench.subsystem, values={}
    )
    assert titles("finding") == {"F-1 hum"}
    change_finding(actor=bench.actor, finding=finding, values={"title": "hum at 50 Hz"})
    assert titles("finding") == {"F-1 hum at 50 Hz"}


def test_a_withdrawn_reading_says_so(bench: Bench) -> None:
    bench.target()
    reading = bench.read("3.301 V")
    bring_up_to_date()
    withdraw_measurement(actor=bench.actor, measurement=reading, because="wrong probe")
    bring_up_to_date()
    assert "withdrawn: wrong probe" in Document.objects.get(kind="measurement").body


def test_nothing_new_costs_three_queries(
    bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    bring_up_to_date()
    with django_assert_num_queries(3):
        assert bring_up_to_date()


def test_making_it_anew_gives_the_same(bench: Bench) -> None:
    bench.target()
    bench.read("3.301 V")
    bring_up_to_date()
    fields = ("kind", "object_id", "title", "body", "main_key", "address")
    before = set(map(str, Document.objects.values_list(*fields)))
    call_command("reindex", verbosity=0)
    assert set(map(str, Document.objects.values_list(*fields))) == before
    assert bring_up_to_date()


def test_a_large_import_is_left_to_a_job(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(following, "SLICE", 2)
    monkeypatch.setattr(following, "MOST_AT_ONCE", 2)
    assert not bring_up_to_date()
    run_waiting()
    assert bring_up_to_date()
    assert titles("board") == {"board 0001"}


def test_a_record_that_comes_late_is_still_followed(bench: Bench) -> None:
    """Its transaction took its id first and was committed last, as PostgreSQL allows."""
    bring_up_to_date()
    late = ChangeRecord.objects.filter(kind="board").latest("id")
    Document.objects.filter(kind="board").delete()
    Followed.objects.filter(source="changes").update(gaps=[[late.pk, late.pk, timezone.now().timestamp()]])
    assert titles("board") == {"board 0001"}


@pytest.mark.parametrize(
    ("ids", "left"),
    [
        ([4, 5, 6], []),
        ([4, 6], [(5, 5)]),
        ([6], [(4, 5)]),
        ([5, 9], [(4, 4), (6, 8)]),
        ([], []),
    ],
)
def test_skipped_ids_are_awaited(ids: list[int], left: list[tuple[int, int]]) -> None:
    gaps = _remaining([], ids, 3, NOW)
    assert [(gap.first, gap.last) for gap in gaps] == left


def test_an_awaited_id_that_came_closes_its_gap() -> None:
    gaps = _remaining([_Gap(2, 4, 0.0)], [3], 9, NOW)
    assert [(gap.first, gap.last) for gap in gaps] == [(2, 2), (4, 4)]
