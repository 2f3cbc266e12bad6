"""Celery's shell around the jobs."""

from __future__ import annotations

from typing import Any

from celery import shared_task

from logbook.common import jobs
from logbook.common.broker import TASK


@shared_task(  # type: ignore[untyped-decorator]
    name=TASK, bind=True, acks_late=True, reject_on_worker_lost=True, max_retries=None
)
def run_job(self: Any, job_id: int) -> None:
    """Do a job; where a killed worker still holds it, or it failed, come back when its lease has ended."""
    seconds = jobs.run_job(job_id)
    if seconds:
        raise self.retry(countdown=seconds)
