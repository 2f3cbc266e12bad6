"""The broker, where one is configured. Celery is loaded only then: it costs a third of a second."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from kombu.exceptions import OperationalError

if TYPE_CHECKING:
    from celery import Celery

TASK = "logbook.run_job"
UNREACHABLE = (OperationalError, OSError)
# A broker that is down must not hold up the request that recorded something.
PATIENCE = {"max_retries": 1, "interval_start": 0.1, "interval_step": 0.1}


@lru_cache(maxsize=1)
def celery_app() -> Celery:
    """Return the one Celery application, set up from the settings that begin with ``CELERY_``."""
    from celery import Celery

    app = Celery("logbook")
    app.config_from_object("django.conf:settings", namespace="CELERY")
    return app


def send(job_id: int) -> None:
    """Send the number of a job; the row holds everything else."""
    celery_app().send_task(TASK, args=[job_id], retry=True, retry_policy=PATIENCE, ignore_result=True)
