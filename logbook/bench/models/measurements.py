"""The record of readings."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.bench.choices import Outcome, Verdict
from logbook.bench.models.instruments import Instrument, InstrumentRange
from logbook.bench.models.sessions import BenchSession
from logbook.bench.models.targets import Target, TargetIssue
from logbook.boards.models import Board
from logbook.projects.models import Project


class Measurement(models.Model):
    """One reading as it was taken and judged. Only its withdrawal is ever written later.

    ``value`` is the canonical decimal text in ``unit``; ``value_base`` the same as a float in the
    base unit, for sorting and statistics. ``target_value`` is the value in the unit of the issue.
    """

    project = models.ForeignKey(Project, models.PROTECT, related_name="measurements", db_index=False)
    board = models.ForeignKey(Board, models.PROTECT, related_name="measurements", db_index=False)
    target = models.ForeignKey(
        Target, models.PROTECT, null=True, blank=True, related_name="measurements", db_index=False
    )
    issue = models.ForeignKey(
        TargetIssue, models.PROTECT, null=True, blank=True, related_name="measurements", db_index=False
    )
    point = models.CharField(max_length=60, blank=True)
    place = models.CharField(max_length=200, blank=True)
    outcome = models.CharField(max_length=12, choices=Outcome)
    text = models.CharField(max_length=64)
    value = models.CharField(max_length=90, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    value_base = models.FloatField(null=True, blank=True)
    repeats = models.JSONField(default=list, blank=True)
    trials = models.BigIntegerField(null=True, blank=True)
    expanded_uncertainty = models.CharField(max_length=60, blank=True)
    coverage_factor = models.CharField(max_length=20, blank=True)
    degrees_of_freedom = models.FloatField(null=True, blank=True)
    uncertainty_base = models.FloatField(null=True, blank=True)
    uncertainty_from = models.CharField(max_length=10, blank=True)
    taken_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    via = models.CharField(max_length=10)
    instrument = models.ForeignKey(
        Instrument, models.PROTECT, null=True, blank=True, related_name="measurements"
    )
    instrument_range = models.ForeignKey(
        InstrumentRange, models.SET_NULL, null=True, blank=True, related_name="+", db_index=False
    )
    bench_session = models.ForeignKey(
        BenchSession, models.PROTECT, null=True, blank=True, related_name="measurements"
    )
    firmware = models.CharField(max_length=120, blank=True)
    conditions = models.JSONField(default=dict, blank=True)
    note = models.TextField(blank=True, max_length=20_000)
    key = models.CharField(max_length=80)
    content_digest = models.CharField(max_length=64)
    verdict = models.CharField(max_length=16, choices=Verdict, blank=True)
    rule = models.CharField(max_length=8, blank=True)
    reason = models.CharField(max_length=300)
    conformance_probability = models.FloatField(null=True, blank=True)
    margin = models.CharField(max_length=90, blank=True)
    margin_percent = models.FloatField(null=True, blank=True)
    test_uncertainty_ratio = models.FloatField(null=True, blank=True)
    undecidable = models.BooleanField(default=False)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_because = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-taken_at", "-recorded_at", "-id"]
        verbose_name = "measurement"
        constraints = [
            models.UniqueConstraint(fields=["project", "key"], name="measurement_key_once"),
            models.CheckConstraint(
                condition=models.Q(withdrawn_at__isnull=True) | ~models.Q(withdrawn_because=""),
                name="measurement_withdrawn_with_a_reason",
            ),
        ]
        indexes = [
            models.Index(
                fields=["target", "board", "point", "-taken_at", "-recorded_at", "-id"],
                name="measurement_of_cell",
            ),
            models.Index(fields=["project", "-id"], name="measurement_of_project"),
            models.Index(fields=["board", "-taken_at"], name="measurement_of_board"),
        ]

    def __str__(self) -> str:
        # What was typed may carry its unit.
        return f"{self.value} {self.unit}" if self.value and self.unit else self.text

    @property
    def is_withdrawn(self) -> bool:
        """Say whether the reading no longer stands."""
        return self.withdrawn_at is not None
