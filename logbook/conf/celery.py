"""The Celery application: ``celery --app logbook.conf.celery worker``."""

from __future__ import annotations

import os

import django
from celery.signals import setup_logging

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "logbook.conf.settings")
django.setup()

from logbook.common import tasks  # noqa: E402, F401 - registers the task
from logbook.common.broker import celery_app  # noqa: E402

app = celery_app()


@setup_logging.connect(weak=False)  # type: ignore[untyped-decorator]
def keep_the_log_of_the_site(**_: object) -> None:
    """Keep the log as the settings made it: with a receiver here, Celery sets up none of its own."""
