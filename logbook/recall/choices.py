"""Fixed words of recall."""

from django.db import models

# The names of the background work on archives.
EXPORT_ARCHIVE = "export-archive"
LAY_LEVELS = "lay-levels"


class ExportState(models.TextChoices):
    WAITING = "waiting", "waiting"
    RUNNING = "running", "being written"
    DONE = "done", "ready"
    FAILED = "failed", "failed"
