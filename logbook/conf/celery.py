"""The Celery application: ``celery --app logbook.conf.celery worker``."""

from __future__ import annotations

import os

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "logbook.conf.settings")
django.setup()

from logbook.common import tasks  # noqa: E402, F401 - registers the task
from logbook.common.broker import celery_app  # noqa: E402

app = celery_app()
