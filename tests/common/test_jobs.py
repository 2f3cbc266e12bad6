"""Jobs: leases, what happens to failures, and that nothing is done after the hold is lost."""

from __future__ import annotations

import errno
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.db import transaction
from django.utils import timezone

from logbook.common import jobs
from logbook.common.models import Job

pytestmark = pytest.mark.django_db


class Notes:
    """A kind of work that writes down what it was asked to do."""

    def __init__(self) -> None:
        self.done: list[int] = []
        self.given_up: list[str] = []
        self.failure: Exception | None = None

    def work(self, hold: jobs.Hold) -> None:
        if self.failure is not None:
            raise self.failure
        self.done.append(hold.subject_id)

    def give_up(self, subject_id: int, problem: str) -> None:
        self.given_up.append(f"{subject_id}: {problem}")


@pytest.fixture
def notes(monkeypatch: pytest.MonkeyPatch) -> Notes:
    kept = Notes()
    monkeypatch.setattr(jobs, "_registered", {})
    jobs.register("note", kept.work, kept.give_up)
    return kept


def _let_lease_end(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(leased_until=timezone.now() - timedelta(seconds=1))


def test_it_does_a_waiting_job_once(notes: Notes) -> None:
    job = jobs.enqueue(name="note", subject_id=7)
    assert jobs.run_waiting() is None
    jobs.run_job(job.pk)
    assert notes.done == [7]


def test_it_refuses_a_kind_nobody_registered(notes: Notes) -> None:
    with pytest.raises(LookupError, match="note"):
        jobs.enqueue(name="other", subject_id=7)


def test_it_writes_no_row_when_the_transaction_fails(notes: Notes) -> None:
    def ask_and_fail() -> None:
        with transaction.atomic():
            jobs.enqueue(name="note", subject_id=7)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        ask_and_fail()
    assert not Job.objects.exists()


def test_it_hands_over_only_after_the_commit(
    notes: Notes, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: object
) -> None:
    handed: list[int] = []
    monkeypatch.setattr(jobs, "hand_over", handed.append)
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        job = jobs.enqueue(name="note", subject_id=7)
        assert handed == []
    assert handed == [job.pk]


def test_a_held_job_cannot_be_taken_up(notes: Notes) -> None:
    job = jobs.enqueue(name="note", subject_id=7)
    assert jobs.claim(job.pk) is not None
    assert jobs.claim(job.pk) is None
    assert 0 < jobs.run_job(job.pk) <= 121


def test_the_sweep_takes_up_a_job_whose_lease_ran_out(notes: Notes) -> None:
    job = jobs.enqueue(name="note", subject_id=7)
    jobs.claim(job.pk)
    _let_lease_end(job)
    call_command("run_jobs")
    assert notes.done == [7]


def test_a_slow_worker_cannot_write_after_its_successor(notes: Notes) -> None:
    job = jobs.enqueue(name="note", subject_id=7)
    slow = jobs.claim(job.pk)
    _let_lease_end(job)
    assert jobs.claim(job.pk) is not None
    assert slow is not None
    with pytest.raises(jobs.HoldLostError):
        slow.renew()
    slow.release(finished_at=timezone.now())
    job.refresh_from_db()
    assert job.finished_at is None


def test_a_failed_job_is_tried_again_and_then_given_up(notes: Notes) -> None:
    job = jobs.enqueue(name="note", subject_id=7)
    notes.failure = OSError("no such device")
    for _ in range(jobs.MOST_ATTEMPTS):
        _let_lease_end(job)
        jobs.run_job(job.pk)
    job.refresh_from_db()
    assert (job.finished_at is not None, job.problem) == (True, "OSError: no such device")
    assert notes.given_up == ["7: OSError: no such device"]


def test_a_full_disk_is_waited_for_however_long(notes: Notes) -> None:
    job = jobs.enqueue(name="note", subject_id=7)
    notes.failure = OSError(errno.ENOSPC, "no room")
    for _ in range(3 * jobs.MOST_ATTEMPTS):
        _let_lease_end(job)
        jobs.run_job(job.pk)
    job.refresh_from_db()
    assert (job.finished_at, notes.given_up) == (None, [])
    assert "no room" in job.problem
    notes.failure = None
    _let_lease_end(job)
    jobs.run_job(job.pk)
    assert notes.done == [7]


def test_a_job_that_kills_its_worker_each_time_is_given_up(notes: Notes) -> None:
    job = jobs.enqueue(name="note", subject_id=7)
    Job.objects.filter(pk=job.pk).update(attempts=jobs.MOST_ATTEMPTS)
    jobs.run_job(job.pk)
    assert notes.given_up == ["7: taken up 5 times and never finished"]
    assert notes.done == []


def test_a_failure_of_one_job_leaves_the_others_alone(notes: Notes) -> None:
    jobs.register("bad", lambda hold: 1 / 0, notes.give_up)  # type: ignore[arg-type, return-value]
    jobs.enqueue(name="bad", subject_id=1)
    jobs.enqueue(name="note", subject_id=2)
    jobs.run_waiting()
    assert notes.done == [2]
