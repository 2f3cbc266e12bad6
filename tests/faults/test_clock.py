"""A clock that jumps: nothing is lost, nothing doubled, no job waits for a moment that is days away."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import call_command

from logbook.bench.commands import ReadingInput, record_reading
from logbook.bench.models import CurrentResult, Measurement
from logbook.common import jobs
from logbook.common.errors import InvalidInputError
from logbook.common.models import Job
from tests.builders import Bench

Survived = Callable[[str, str, str], None]
NOON = datetime(2026, 5, 2, 12, 0, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)

pytestmark = pytest.mark.django_db


def verified() -> str:
    out = StringIO()
    call_command("verify", stdout=out)
    return out.getvalue().splitlines()[-1]


def test_readings_before_and_after_the_clock_is_set_back_all_stand(bench: Bench, survived: Survived) -> None:
    bench.target()
    with time_machine.travel(NOON, tick=False) as clock:
        bench.read("3.1", key="first")
        clock.move_to(NOON - HOUR)
        bench.read("3.3", key="second")
        again = record_reading(
            actor=bench.actor, item=ReadingInput("tern", "0001", "3.3", "RLD-2", key="second")
        )
        clock.move_to(NOON + DAY)
        bench.read("3.3", key="third")
    assert again.status == "duplicate"
    assert list(Measurement.objects.order_by("id").values_list("key", flat=True)) == [
        "first",
        "second",
        "third",
    ]
    assert CurrentResult.objects.get().found.key == "third"
    survived("the clock of the site jumps", "in process", verified())


def test_a_reading_from_a_bench_clock_that_runs_ahead_is_refused_with_what_is_allowed(bench: Bench) -> None:
    bench.target()
    with time_machine.travel(NOON, tick=False), pytest.raises(InvalidInputError) as refused:
        bench.read("3.3", taken_at=NOON + HOUR)
    assert refused.value.problems[0].allowed == "up to 2026-05-02T12:05:00Z"
    assert not Measurement.objects.exists()


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Register a job that writes down its attempts."""
    attempts: list[int] = []
    monkeypatch.setattr(jobs, "_registered", {})
    jobs.register("note", lambda hold: attempts.append(hold.attempt), lambda *_: None)
    return attempts


def test_a_job_held_when_the_clock_was_set_back_a_day_is_taken_up_at_once(
    done: list[int], survived: Survived
) -> None:
    with time_machine.travel(NOON, tick=False) as clock:
        job = jobs.enqueue(name="note", subject_id=1)
        killed = jobs.claim(job.pk)
        clock.move_to(NOON - DAY)
        jobs.run_waiting()
        assert killed is not None
        with pytest.raises(jobs.HoldLostError):
            killed.renew()
    assert done == [2]
    assert Job.objects.get().finished_at == NOON - DAY
    survived(
        "the clock jumps back under a held job", "in process", "taken up once more, the old hold refused"
    )


def test_a_clock_a_few_seconds_apart_takes_no_job_away(done: list[int]) -> None:
    with time_machine.travel(NOON, tick=False) as clock:
        job = jobs.enqueue(name="note", subject_id=1)
        held = jobs.claim(job.pk)
        clock.move_to(NOON - timedelta(seconds=10))
        jobs.run_waiting()
        assert held is not None
        held.renew()
    assert done == []
