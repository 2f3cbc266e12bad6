"""Files behind measurements, and what an analysis of a capture found."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.boards.models import Board
from logbook.evidence.choices import AnalysisState, EvidenceKind
from logbook.projects.models import Project, Revision


class Evidence(models.Model):
    """One file as it was given. The original is stored by its SHA-256 and never altered."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="evidence")
    kind = models.CharField(max_length=10, choices=EvidenceKind)
    name = models.CharField(max_length=200)
    media_type = models.CharField(max_length=100)
    size = models.BigIntegerField()
    sha256 = models.CharField(max_length=64)
    caption = models.CharField(max_length=300, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    board = models.ForeignKey(Board, models.PROTECT, null=True, blank=True, related_name="evidence")
    revision = models.ForeignKey(Revision, models.PROTECT, null=True, blank=True, related_name="evidence")
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-id"]
        verbose_name = "evidence"
        verbose_name_plural = "evidence"
        indexes = [models.Index(fields=["project", "-id"], name="evidence_of_project")]

    def __str__(self) -> str:
        return self.name


class Analysis(models.Model):
    """One analysis of a capture: what was asked, how far it is, and the numbers it found.

    ``numbers`` is ``{name: {"value": …, "unit": …, "says": …, "definition": …}}``; ``statements`` are the
    sentences that qualify them (resampled, clipped). ``attempt`` counts how often it was taken up.
    """

    evidence = models.ForeignKey(Evidence, models.CASCADE, related_name="analyses")
    parameters = models.JSONField(default=dict)
    state = models.CharField(max_length=10, choices=AnalysisState, default=AnalysisState.WAITING)
    progress = models.PositiveSmallIntegerField(default=0)
    numbers = models.JSONField(default=dict)
    statements = models.JSONField(default=list)
    problem = models.CharField(max_length=500, blank=True)
    attempt = models.PositiveIntegerField(default=0)
    asked_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        verbose_name = "analysis"
        verbose_name_plural = "analyses"

    def __str__(self) -> str:
        return f"{self.evidence} {self.state}"
