"""Table of the reports asked for."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.projects.models import Project
from logbook.recall.reports.choices import ReportKind, ReportState


class Report(models.Model):
    """A report asked for: the page it is made from until the file is there, then the file, for a day.

    ``pictures`` names the evidence shown, by the path the page gives it.
    """

    project = models.ForeignKey(Project, models.PROTECT, related_name="reports")
    kind = models.CharField(max_length=12, choices=ReportKind)
    title = models.CharField(max_length=300)
    file_name = models.CharField(max_length=200)
    address = models.CharField(max_length=1_000)
    page = models.TextField(blank=True)
    pictures = models.JSONField(default=dict, blank=True)
    state = models.CharField(max_length=10, choices=ReportState, default=ReportState.WAITING)
    problem = models.CharField(max_length=500, blank=True)
    pdf = models.BinaryField(null=True)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-id"]
        verbose_name = "report"

    def __str__(self) -> str:
        return self.title
