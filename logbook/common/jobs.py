"""Background work that is neither lost nor done twice in effect.

Rule: the row of a job is written in the transaction that asks for it. Whoever takes it up holds it by a
lease; a lease that ran out, because its worker was killed, lets anybody take the job up again. What a job
writes, it writes under its hold, so that a worker that was only slow cannot write after its successor.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

import structlog
from django.conf import settings
from django.db import connection, transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from logbook.common import broker, clock, metrics, runner
from logbook.common.faults import is_disk_full
from logbook.common.models import Job

logger = structlog.stdlib.get_logger(__name__)
MOST_ATTEMPTS = 5
LONGEST_PROBLEM = 500
# The clocks of two machines that take up jobs may differ so much.
CLOCK_SLACK_S = 30


class HoldLostError(Exception):
    """The lease of a job ran out and somebody else took it up."""


@dataclass(frozen=True)
class Hold:
    """A job taken up: nobody else works on it while the hold is renewed."""

    job_id: int
    subject_id: int
    name: str
    attempt: int

    def renew(self) -> None:
        """Say that the work goes on; raises ``HoldLostError`` when somebody else has taken it up."""
        if not self._mine().update(leased_until=_lease_end()):
            message = f"job {self.job_id} was taken up by somebody else"
            raise HoldLostError(message)

    def release(self, **values: object) -> None:
        """Write the outcome, unless somebody else has taken the job up meanwhile."""
        self._mine().update(**values)

    def _mine(self) -> QuerySet[Job]:
        return Job.objects.filter(pk=self.job_id, attempts=self.attempt, finished_at__isnull=True)


Work = Callable[[Hold], None]
GivenUp = Callable[[int, str], None]


@dataclass(frozen=True)
class Registered:
    """What a job does, and what is noted when it fails for good."""

    work: Work
    given_up: GivenUp


_registered: dict[str, Registered] = {}


def register(name: str, work: Work, given_up: GivenUp) -> None:
    """Name a kind of work; called by the apps when the site starts."""
    _registered[name] = Registered(work, given_up)


def enqueue(*, name: str, subject_id: int) -> Job:
    """Ask for work on one row; it begins once the surrounding transaction is committed."""
    if name not in _registered:
        message = f"no job is called {name!r}; there are: {', '.join(sorted(_registered)) or 'none'}"
        raise LookupError(message)
    job = Job.objects.create(name=name, subject_id=subject_id, asked_at=clock.now())
    logger.info("job asked for", job=job.pk, name=name, subject=subject_id)
    transaction.on_commit(partial(hand_over, job.pk))
    return job


def hand_over(job_id: int) -> None:
    """Send a job to the broker, or wake the runner of this process; the row waits if neither is there."""
    if settings.CELERY_BROKER_URL:
        try:
            broker.send(job_id)
        except broker.UNREACHABLE as error:
            logger.warning(
                "job waits for manage.py run_jobs: the broker is out of reach", job=job_id, reason=str(error)
            )
    elif settings.LOGBOOK_JOB_RUNNER:
        runner.wake(run_waiting)


def run_job(job_id: int) -> float:
    """Do a job unless it is done; returns the seconds to wait while somebody else holds it, else 0."""
    hold = claim(job_id)
    if hold is None:
        return _seconds_held(Job.objects.filter(pk=job_id))
    _work_on(hold)
    return _seconds_held(Job.objects.filter(pk=job_id))


def run_waiting() -> float | None:
    """Do every job that nobody holds; returns the seconds until the next lease ends, or nothing."""
    while (job_id := _next_free()) is not None:
        hold = claim(job_id)
        if hold is not None:
            _work_on(hold)
    held = Job.objects.filter(finished_at__isnull=True)
    return _seconds_held(held) if held.exists() else None


def claim(job_id: int) -> Hold | None:
    """Take up a job; nothing when it is done or held. One conditional write, so only one can win."""
    with transaction.atomic():
        free = _free().filter(pk=job_id)
        if not free.update(leased_until=_lease_end(), attempts=F("attempts") + 1):
            return None
        job = Job.objects.get(pk=job_id)
    return Hold(job.pk, job.subject_id, job.name, job.attempts)


def _free() -> QuerySet[Job]:
    """Return the jobs nobody holds.

    No lease reaches further than its length. One that does was taken before the clock was set back, and
    waiting for its end could take days; should its worker live after all, it loses the hold.
    """
    now = timezone.now()
    longest = timedelta(seconds=max(settings.LOGBOOK_JOB_LEASE_S, MOST_ATTEMPTS) + CLOCK_SLACK_S)
    ended = Q(leased_until__isnull=True) | Q(leased_until__lt=now) | Q(leased_until__gt=now + longest)
    return Job.objects.filter(ended, finished_at__isnull=True)


def _next_free() -> int | None:
    with transaction.atomic():
        rows = _free().order_by("id").values_list("pk", flat=True)
        if connection.features.has_select_for_update_skip_locked:
            rows = rows.select_for_update(skip_locked=True)
        return rows.first()


def _work_on(hold: Hold) -> None:
    """Do a job; what is logged meanwhile carries its number and attempt."""
    begun = time.perf_counter()
    with structlog.contextvars.bound_contextvars(job=hold.job_id, name=hold.name, attempt=hold.attempt):
        outcome = _attempted(hold)
        seconds = time.perf_counter() - begun
        logger.info("job ended", outcome=outcome, subject=hold.subject_id, ms=round(seconds * 1000, 1))
    name = hold.name if hold.name in _registered else "unknown"
    metrics.JOBS.labels(name, outcome).inc()
    metrics.JOB_SECONDS.labels(name).observe(seconds)


def _attempted(hold: Hold) -> str:
    """Do a job and return how the attempt ended, in one word of a closed list."""
    known = _registered.get(hold.name)
    if known is None:
        return _give_up(hold, None, f"this version of the site knows no job {hold.name!r}")
    try:
        if hold.attempt > MOST_ATTEMPTS:
            return _give_up(hold, known, f"taken up {MOST_ATTEMPTS} times and never finished")
        known.work(hold)
        hold.release(finished_at=timezone.now(), problem="")
    except HoldLostError:
        logger.warning("job went on elsewhere")
        return "lost"
    except Exception as error:
        logger.exception("job failed")
        problem = f"{type(error).__name__}: {error}"[:LONGEST_PROBLEM]
        if is_disk_full(error):
            # Nothing is wrong with the work: it goes on once there is room, however long that takes.
            hold.release(problem=problem, leased_until=_lease_end(), attempts=hold.attempt - 1)
            return "failed"
        if hold.attempt >= MOST_ATTEMPTS:
            return _give_up(hold, known, problem)
        hold.release(problem=problem, leased_until=timezone.now() + timedelta(seconds=hold.attempt))
        return "failed"
    return "done"


def _give_up(hold: Hold, known: Registered | None, problem: str) -> str:
    if known is not None:
        known.given_up(hold.subject_id, problem)
    hold.release(finished_at=timezone.now(), problem=problem)
    return "given up"


def _lease_end() -> datetime:
    return timezone.now() + timedelta(seconds=settings.LOGBOOK_JOB_LEASE_S)


def _seconds_held(rows: QuerySet[Job]) -> float:
    first = rows.filter(finished_at__isnull=True, leased_until__isnull=False).order_by("leased_until").first()
    if first is None or first.leased_until is None:
        return 0.0
    return max((first.leased_until - timezone.now()).total_seconds(), 0.0) + 0.05
