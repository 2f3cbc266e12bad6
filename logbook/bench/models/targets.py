"""Targets and their issues."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.bench.choices import Basis, Harm, Rule, Severity, TargetKind
from logbook.calculations.models import Calculation
from logbook.projects.models import KEY, Option, Project, Revision, Subsystem


class Target(models.Model):
    """One thing to be verified. What is asked stands in its issues; here stands how to plan it."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="targets")
    subsystem = models.ForeignKey(Subsystem, models.PROTECT, related_name="targets")
    key = models.CharField(max_length=30, validators=[KEY])
    name = models.CharField(max_length=160)
    position = models.PositiveIntegerField(default=0)
    severity = models.CharField(max_length=2, choices=Severity, default=Severity.S3)
    harm = models.CharField(max_length=12, choices=Harm, blank=True)
    minutes = models.PositiveIntegerField(default=5)
    waiting_minutes = models.PositiveIntegerField(default=0)
    probe_at = models.CharField(max_length=200, blank=True)
    probe_against = models.CharField(max_length=200, blank=True)
    stresses_board = models.BooleanField(default=False)
    needs_power = models.BooleanField(default=True)
    depends_on_firmware = models.BooleanField(default=False)
    cautions = models.CharField(max_length=12, blank=True)
    needs_option = models.ForeignKey(Option, models.PROTECT, null=True, blank=True, related_name="targets")
    note = models.TextField(blank=True, max_length=20_000)

    class Meta:
        ordering = ["position", "key"]
        verbose_name = "target"
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="target_key_once")]

    def __str__(self) -> str:
        return self.key


class TargetIssue(models.Model):
    """One issue of a target: what is asked, never edited. Limits are decimal text in ``unit``."""

    target = models.ForeignKey(Target, models.PROTECT, related_name="issues")
    number = models.PositiveIntegerField()
    meant_for = models.ForeignKey(Revision, models.PROTECT, null=True, blank=True, related_name="+")
    kind = models.CharField(max_length=12, choices=TargetKind)
    limits_text = models.CharField(max_length=120, blank=True)
    low = models.CharField(max_length=60, blank=True)
    high = models.CharField(max_length=60, blank=True)
    nominal = models.CharField(max_length=60, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    rule = models.CharField(max_length=8, choices=Rule, default=Rule.GUARDED)
    points = models.JSONField(default=list)
    boards_needed = models.PositiveIntegerField(default=1)
    conditions = models.CharField(max_length=300, blank=True)
    method = models.TextField(blank=True, max_length=2_000)
    basis = models.CharField(max_length=12, choices=Basis, default=Basis.JUDGEMENT)
    basis_note = models.CharField(max_length=300, blank=True)
    calculation = models.ForeignKey(
        Calculation, models.PROTECT, null=True, blank=True, related_name="issues_based_on_it"
    )
    calculation_band = models.CharField(max_length=20, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    changes_more_than_limits = models.BooleanField(default=False)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["target_id", "number"]
        verbose_name = "issue of a target"
        constraints = [
            models.UniqueConstraint(fields=["target", "number"], name="target_issue_number_once"),
            models.CheckConstraint(
                condition=models.Q(boards_needed__gte=1),
                name="target_asks_for_a_board",
                violation_error_message="A target asks for at least one board.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.target} issue {self.number}"


class Prerequisite(models.Model):
    """One target needs another first. The whole is kept free of circles by the command."""

    target = models.ForeignKey(Target, models.CASCADE, related_name="prerequisites")
    needs = models.ForeignKey(Target, models.CASCADE, related_name="needed_by")

    class Meta:
        verbose_name = "prerequisite"
        constraints = [models.UniqueConstraint(fields=["target", "needs"], name="prerequisite_once")]

    def __str__(self) -> str:
        return f"{self.target} needs {self.needs}"
