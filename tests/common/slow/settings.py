"""The site's own settings with the slow job."""

import os

from logbook.conf.settings import *  # noqa: F403

INSTALLED_APPS = [*INSTALLED_APPS, "tests.common.slow.apps.SlowConfig"]  # noqa: F405
# Each test has a queue of its own, so that tests beside it do not take its messages.
CELERY_TASK_DEFAULT_QUEUE = os.environ.get("SLOW_JOB_QUEUE", "celery")
ROOT_URLCONF = "tests.common.slow.urls"
