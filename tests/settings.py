"""Settings of the test run: the site's own, with a throw-away data folder and quick passwords."""

import os
import tempfile

os.environ.setdefault("LOGBOOK_DATA", tempfile.mkdtemp(prefix="logbook-tests-"))
# Playwright leaves an event loop running in the test's thread; Django would take it for async code.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
os.environ.setdefault("LOGBOOK_SECRET_KEY", "tests-only-" + "0" * 40)
# A thread of the site would work on the database of a test behind its back; tests run the jobs themselves.
os.environ.setdefault("LOGBOOK_JOB_RUNNER", "off")

from logbook.conf.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
# An installed site has it; without it WhiteNoise warns, and warnings are errors here.
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # noqa: F405
