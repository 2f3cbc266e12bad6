"""Which evidence stands behind a reading or a sitting."""

from __future__ import annotations

from django.db import models

from logbook.bench.models.measurements import Measurement
from logbook.bench.models.sessions import BenchSession
from logbook.evidence.models import Analysis, Evidence


class MeasurementEvidence(models.Model):
    """A file behind a reading; ``number`` names the number of the analysis that became the reading."""

    measurement = models.ForeignKey(Measurement, models.PROTECT, related_name="evidence_links")
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="measurement_links")
    analysis = models.ForeignKey(
        Analysis, models.PROTECT, null=True, blank=True, related_name="measurement_links"
    )
    number = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "evidence of a measurement"
        constraints = [
            models.UniqueConstraint(fields=["measurement", "evidence"], name="measurement_evidence_once")
        ]

    def __str__(self) -> str:
        return f"{self.evidence} for {self.measurement}"


class SessionEvidence(models.Model):
    """A file that belongs to a sitting at the bench."""

    bench_session = models.ForeignKey(BenchSession, models.PROTECT, related_name="evidence_links")
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="session_links")

    class Meta:
        ordering = ["id"]
        verbose_name = "evidence of a bench session"
        constraints = [
            models.UniqueConstraint(fields=["bench_session", "evidence"], name="session_evidence_once")
        ]

    def __str__(self) -> str:
        return f"{self.evidence} for {self.bench_session}"
