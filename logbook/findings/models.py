"""Tables of findings."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from logbook.bench.choices import Harm, Severity
from logbook.bench.models import Measurement, Target
from logbook.boards.models import Board, Rework
from logbook.core.risk.findings import FindingState
from logbook.evidence.models import Evidence
from logbook.findings.choices import STATES, CauseFamily, Side
from logbook.projects.models import KEY, Project, Revision, Subsystem


class Finding(models.Model):
    """Something wrong or surprising. How far its life has come stands in its events."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="findings")
    key = models.CharField(max_length=30, validators=[KEY])
    title = models.CharField(max_length=200)
    what = models.TextField(blank=True, max_length=20_000)
    trigger = models.TextField(blank=True, max_length=2_000)
    workaround = models.TextField(blank=True, max_length=2_000)
    cause_family = models.CharField(max_length=30, choices=CauseFamily, blank=True)
    severity = models.CharField(max_length=2, choices=Severity, default=Severity.S3)
    harm = models.CharField(max_length=12, choices=Harm, blank=True)
    subsystem = models.ForeignKey(Subsystem, models.PROTECT, related_name="findings")
    found_on = models.ForeignKey(Board, models.PROTECT, null=True, blank=True, related_name="findings_found")
    found_at = models.DateTimeField()
    place = models.CharField(max_length=200, blank=True)
    side = models.CharField(max_length=6, choices=Side, blank=True)
    # Share of the width and height of the picture of that side, from its upper left corner.
    x = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(1)])
    y = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(1)])
    targets = models.ManyToManyField(Target, related_name="findings", blank=True)
    revisions = models.ManyToManyField(Revision, related_name="findings", blank=True)
    boards = models.ManyToManyField(Board, related_name="findings", blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["key"]
        verbose_name = "finding"
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="finding_key_once")]

    def __str__(self) -> str:
        return self.key


class FindingEvent(models.Model):
    """A step in the life of a finding. Append-only; proven always by a reading."""

    finding = models.ForeignKey(Finding, models.PROTECT, related_name="events")
    state = models.CharField(max_length=20, choices=STATES)
    at = models.DateTimeField()
    note = models.TextField(blank=True, max_length=2_000)
    measurement = models.ForeignKey(
        Measurement, models.PROTECT, null=True, blank=True, related_name="findings_proven"
    )
    duplicate_of = models.ForeignKey(
        Finding, models.PROTECT, null=True, blank=True, related_name="duplicates"
    )
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        verbose_name = "step of a finding"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state=str(FindingState.PROVEN), measurement__isnull=False)
                | (~models.Q(state=str(FindingState.PROVEN)) & models.Q(measurement__isnull=True)),
                name="finding_proven_by_a_reading",
                violation_error_message="A finding is proven by a reading, and no other step has one.",
            ),
            models.CheckConstraint(
                condition=models.Q(state=str(FindingState.DUPLICATE), duplicate_of__isnull=False)
                | (~models.Q(state=str(FindingState.DUPLICATE)) & models.Q(duplicate_of__isnull=True)),
                name="finding_duplicate_of_another",
                violation_error_message="A duplicate names the finding it repeats, and no other step does.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.finding} {self.state}"


class FindingRework(models.Model):
    """A rework that was done because of a finding. Append-only."""

    finding = models.ForeignKey(Finding, models.PROTECT, related_name="rework_links")
    rework = models.ForeignKey(Rework, models.PROTECT, related_name="finding_links")

    class Meta:
        ordering = ["id"]
        verbose_name = "rework of a finding"
        constraints = [models.UniqueConstraint(fields=["finding", "rework"], name="finding_rework_once")]

    def __str__(self) -> str:
        return f"{self.rework} for {self.finding}"


class FindingEvidence(models.Model):
    """A file that shows a finding."""

    finding = models.ForeignKey(Finding, models.PROTECT, related_name="evidence_links")
    evidence = models.ForeignKey(Evidence, models.PROTECT, related_name="finding_links")

    class Meta:
        ordering = ["id"]
        verbose_name = "evidence of a finding"
        constraints = [models.UniqueConstraint(fields=["finding", "evidence"], name="finding_evidence_once")]

    def __str__(self) -> str:
        return f"{self.evidence} for {self.finding}"
