"""Registers the slow job."""

from django.apps import AppConfig


class SlowConfig(AppConfig):
    name = "tests.common.slow"
    label = "slow"

    def ready(self) -> None:
        from logbook.common import jobs
        from tests.common.slow import work

        jobs.register("slow", work.work, work.given_up)
