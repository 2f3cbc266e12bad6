"""Days of a timeline: what is told, in which order, some at a time."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from logbook.bench.commands import withdraw_measurement
from logbook.boards.commands import record_board_event
from logbook.findings.commands import record_finding
from logbook.projects.commands import change_revision
from logbook.recall.timeline import KINDS, lines_of, timeline_of
from logbook.recall.timeline.days import DAYS_A_PAGE
from tests.builders import Bench, build_bench

NIGHT = datetime(2024, 3, 9, 23, 30, tzinfo=UTC)


def test_readings_of_a_day_are_one_line_a_board_with_the_worst_verdict(bench: Bench) -> None:
    bench.target()
    bench.extra_board("0002")
    for value in ("3.301 V", "3.302 V", "3.900 V"):
        bench.read(value, taken_at=NIGHT)
    bench.read("3.301 V", board="0002", taken_at=NIGHT)
    lines = lines_of(bench.project, kind="measurement")
    assert [(one.title, one.verdict, one.note) for one in lines] == [
        ("3 readings on 0001", "fail", "1 fail, 2 pass"),
        ("1 reading on 0002", "pass", ""),
    ]


def test_a_withdrawn_reading_is_not_told(bench: Bench) -> None:
    bench.target()
    reading = bench.read("3.301 V")
    withdraw_measurement(actor=bench.actor, measurement=reading, because="wrong probe")
    assert lines_of(bench.project, kind="measurement") == []


@pytest.mark.parametrize(("zone", "day"), [("UTC", 9), ("Pacific/Auckland", 10)])
def test_a_day_ends_in_the_zone_of_the_site(bench: Bench, zone: str, day: int) -> None:
    bench.target()
    bench.read("3.301 V", taken_at=NIGHT)
    with timezone.override(zone):
        (found,) = timeline_of(bench.project, kind="measurement").days
    assert found.day == date(2024, 3, day)


def test_what_has_no_hour_comes_first_on_its_day(bench: Bench) -> None:
    change_revision(actor=bench.actor, revision=bench.revision, values={"ordered_on": NIGHT.date()})
    record_board_event(actor=bench.actor, board=bench.board, state="quarantined", at=NIGHT)
    before = date(2024, 3, 10)
    (day,) = timeline_of(bench.project, before=before).days
    assert [(line.kind, line.hour) for line in day.lines] == [("revision", ""), ("board", "23:30")]


def test_days_come_some_at_a_time_and_none_twice(bench: Bench) -> None:
    days = [NIGHT + timedelta(days=number) for number in range(DAYS_A_PAGE + 3)]
    for day in days:
        record_board_event(actor=bench.actor, board=bench.board, state="in use", at=day)
    newest = timeline_of(bench.project, before=date(2024, 6, 1))
    older = timeline_of(bench.project, before=newest.before)
    seen = [day.day for day in (*newest.days, *older.days)]
    assert seen == sorted((day.date() for day in days), reverse=True)
    assert (len(newest.days), older.before) == (DAYS_A_PAGE, None)


def test_another_project_is_not_told(bench: Bench) -> None:
    other = build_bench("plover")
    record_finding(
        actor=other.actor,
        project=other.project,
        key="F-1",
        title="hum",
        subsystem=other.subsystem,
    )
    assert lines_of(bench.project, kind="finding") == []
    assert [line.title for line in lines_of(other.project, kind="finding")] == ["F-1 suspected: hum"]


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_may_be_asked_for_alone(bench: Bench, kind: str) -> None:
    assert {line.kind for line in lines_of(bench.project, kind=kind)} <= {kind}
    timeline_of(bench.project, kind=kind)


def test_the_number_of_queries_does_not_grow(
    bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    bench.target()
    for number in range(5):
        bench.read(f"3.30{number} V")
        record_board_event(actor=bench.actor, board=bench.board, state="in use")
    with django_assert_num_queries(14):
        timeline_of(bench.project)
