"""The site's own settings with one more address: a view that does nothing, to measure against."""

from logbook.conf.settings import *  # noqa: F403

ROOT_URLCONF = "tests.performance.urls"
ALLOWED_HOSTS = ["127.0.0.1", "testserver"]
LOGBOOK_JOB_RUNNER = False
