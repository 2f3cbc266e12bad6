"""What is kept of the history so that no page has to read it.

These rows are derived. They carry no foreign-key constraints: they are written with every reading,
always from rows of the same transaction, and ``manage.py verify`` compares them with the history.
"""

from __future__ import annotations

from django.db import models

from logbook.bench.models.measurements import Measurement
from logbook.bench.models.targets import Target
from logbook.boards.models import Board
from logbook.projects.models import Project, Revision


class CurrentResult(models.Model):
    """The current results of one (target, board, point): as found, and as designed.

    Verdicts here are judged under the issue of the target in force now, for the board's revision.
    ``not_counted`` says why the reading as found does not count as designed.
    """

    project = models.ForeignKey(
        Project, models.DO_NOTHING, db_constraint=False, related_name="+", db_index=False
    )
    revision = models.ForeignKey(Revision, models.DO_NOTHING, db_constraint=False, related_name="+")
    target = models.ForeignKey(
        Target, models.DO_NOTHING, db_constraint=False, related_name="+", db_index=False
    )
    board = models.ForeignKey(Board, models.DO_NOTHING, db_constraint=False, related_name="+")
    point = models.CharField(max_length=60, blank=True)
    found = models.ForeignKey(
        Measurement, models.DO_NOTHING, db_constraint=False, related_name="+", db_index=False
    )
    found_verdict = models.CharField(max_length=16, blank=True)
    found_undecidable = models.BooleanField(default=False)
    not_counted = models.CharField(max_length=200, blank=True)
    designed = models.ForeignKey(
        Measurement, models.DO_NOTHING, null=True, db_constraint=False, related_name="+", db_index=False
    )
    designed_verdict = models.CharField(max_length=16, blank=True)
    designed_undecidable = models.BooleanField(default=False)
    first = models.ForeignKey(
        Measurement, models.DO_NOTHING, null=True, db_constraint=False, related_name="+", db_index=False
    )
    first_verdict = models.CharField(max_length=16, blank=True)

    class Meta:
        verbose_name = "current result"
        constraints = [
            models.UniqueConstraint(fields=["target", "board", "point"], name="current_result_once")
        ]


class FailingSpan(models.Model):
    """A stretch of time during which a target stood at fail or conditional fail on a board."""

    target = models.ForeignKey(
        Target, models.DO_NOTHING, db_constraint=False, related_name="+", db_index=False
    )
    board = models.ForeignKey(Board, models.DO_NOTHING, db_constraint=False, related_name="+", db_index=False)
    begins = models.DateTimeField()
    ends = models.DateTimeField(null=True)

    class Meta:
        verbose_name = "failing span"
        ordering = ["begins"]
        constraints = [
            models.UniqueConstraint(fields=["board", "target", "begins"], name="failing_span_once")
        ]


class Trial(models.Model):
    """The first as-designed verdict a target had on a revision: one trial of its kind of subsystem."""

    target = models.ForeignKey(
        Target, models.DO_NOTHING, db_constraint=False, related_name="+", db_index=False
    )
    revision = models.ForeignKey(Revision, models.DO_NOTHING, db_constraint=False, related_name="+")
    measurement = models.ForeignKey(
        Measurement, models.DO_NOTHING, db_constraint=False, related_name="+", db_index=False
    )
    taken_at = models.DateTimeField()
    failed = models.BooleanField()

    class Meta:
        verbose_name = "trial"
        constraints = [models.UniqueConstraint(fields=["target", "revision"], name="trial_once")]
