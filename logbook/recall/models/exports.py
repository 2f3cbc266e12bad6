"""Table of the archives that were asked for."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.projects.models import Project
from logbook.recall.choices import ExportState


class Export(models.Model):
    """One archive asked for in the background: how far it is, and what it holds."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="exports")
    state = models.CharField(max_length=10, choices=ExportState, default=ExportState.WAITING)
    progress = models.PositiveSmallIntegerField(default=0)
    records = models.PositiveIntegerField(default=0)
    files = models.PositiveIntegerField(default=0)
    size = models.BigIntegerField(default=0)
    content_sha256 = models.CharField(max_length=64, blank=True)
    problem = models.CharField(max_length=500, blank=True)
    is_kept = models.BooleanField(default=False)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        verbose_name = "export"

    def __str__(self) -> str:
        return f"archive {self.pk} of {self.project}"
