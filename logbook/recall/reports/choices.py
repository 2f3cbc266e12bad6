"""Fixed words of reports."""

from datetime import timedelta

from django.db import models

# The name of the background work.
MAKE_REPORT = "make-report"
KEPT_FOR = timedelta(days=1)


class ReportKind(models.TextChoices):
    SESSION = "session", "bring-up report"
    REVISION = "revision", "revision report"
    BRIEF = "brief", "return brief"


class ReportState(models.TextChoices):
    WAITING = "waiting", "being made"
    DONE = "done", "ready"
    REFUSED = "refused", "not made"
