"""App of the shared Django basics."""

from django.apps import AppConfig
from django.conf import settings


class CommonConfig(AppConfig):
    name = "logbook.common"
    label = "common"

    def ready(self) -> None:
        """Let the first request take up jobs that an earlier process left behind."""
        from logbook.common import jobs, runner  # needs the models, which are loaded by now

        if settings.LOGBOOK_JOB_RUNNER and not settings.CELERY_BROKER_URL:
            runner.wake_at_first_request(jobs.run_waiting)
