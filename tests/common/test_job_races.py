"""Several runners at once, on a real server with real threads."""

from __future__ import annotations

import threading

import pytest
from django.db import connection

from logbook.common import jobs
from logbook.common.models import Job
from tests.bench.test_races import at_once

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.postgres,
    pytest.mark.xdist_group("races"),
]
JOBS, RUNNERS = 60, 6


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch, transactional_db: None) -> list[int]:
    """Return the list in which each job done is noted, once for each time it was done."""
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL: set DATABASE_URL; SQLite lets one writer in at a time")
    noted: list[int] = []
    lock = threading.Lock()

    def work(hold: jobs.Hold) -> None:
        with lock:
            noted.append(hold.subject_id)

    monkeypatch.setattr(jobs, "_registered", {})
    jobs.register("note", work, lambda subject_id, problem: None)
    return noted


def test_many_runners_do_each_job_once(done: list[int]) -> None:
    for number in range(JOBS):
        jobs.enqueue(name="note", subject_id=number)
    results = at_once(*[jobs.run_waiting] * RUNNERS)
    assert not [one for one in results if isinstance(one, Exception)]
    assert sorted(done) == list(range(JOBS))
    assert not Job.objects.filter(finished_at__isnull=True).exists()


def test_one_job_is_taken_up_by_one_of_many(done: list[int]) -> None:
    job = jobs.enqueue(name="note", subject_id=7)
    holds = at_once(*[lambda: jobs.claim(job.pk)] * RUNNERS)
    assert sum(isinstance(hold, jobs.Hold) for hold in holds) == 1
