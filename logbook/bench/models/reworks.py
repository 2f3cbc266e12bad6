"""What shows a rework, and what its re-check said."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.bench.models.measurements import Measurement
from logbook.boards.models import Rework
from logbook.evidence.models import Evidence


class ReworkEvidence(models.Model):
    """A file that shows a rework."""

    rework = models.ForeignKey(Rework, models.PROTECT, related_name="evidence_links")
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="rework_links")

    class Meta:
        ordering = ["id"]
        verbose_name = "evidence of a rework"
        constraints = [models.UniqueConstraint(fields=["rework", "evidence"], name="rework_evidence_once")]

    def __str__(self) -> str:
        return f"{self.evidence} for {self.rework}"


class ReworkRecheck(models.Model):
    """A rework was checked after it was done, by a reading or by looking. Append-only."""

    rework = models.ForeignKey(Rework, models.PROTECT, related_name="rechecks")
    at = models.DateTimeField()
    measurement = models.ForeignKey(
        Measurement, models.PROTECT, null=True, blank=True, related_name="rework_rechecks"
    )
    note = models.TextField(blank=True, max_length=2_000)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        verbose_name = "re-check of a rework"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(measurement__isnull=False) | ~models.Q(note=""),
                name="rework_recheck_says_something",
                violation_error_message="A re-check names a reading or says what was seen.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.rework}, re-checked"
