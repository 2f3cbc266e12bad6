"""Tables of bills of materials and of which designators a subsystem has."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.projects.models.projects import Project
from logbook.projects.models.revisions import Revision
from logbook.projects.models.subsystems import Subsystem


class BillOfMaterials(models.Model):
    """One import of a bill of materials; the newest of a revision stands. Append-only."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="bills_of_materials")
    file_name = models.CharField(max_length=200, blank=True)
    sha256 = models.CharField(max_length=64)
    encoding = models.CharField(max_length=20, blank=True)
    delimiter = models.CharField(max_length=1, blank=True)
    # What each column was taken to hold, by meaning, and the columns nothing was read from.
    columns = models.JSONField(default=dict)
    unused_columns = models.JSONField(default=list, blank=True)
    # Rows that were refused, and what was odd about others: line, says, given.
    refused = models.JSONField(default=list, blank=True)
    remarks = models.JSONField(default=list, blank=True)
    part_count = models.PositiveIntegerField()
    imported_at = models.DateTimeField()
    imported_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-id"]
        verbose_name = "bill of materials"

    def __str__(self) -> str:
        return self.file_name or "bill of materials"


class BillLine(models.Model):
    """One part of a bill of materials. Append-only."""

    bill = models.ForeignKey(BillOfMaterials, models.PROTECT, related_name="lines")
    designator = models.CharField(max_length=16)
    # Sorts as text as people count: R2 before R10.
    place = models.CharField(max_length=20)
    value = models.CharField(max_length=300, blank=True)
    footprint = models.CharField(max_length=300, blank=True)
    part_number = models.CharField(max_length=300, blank=True)
    maker = models.CharField(max_length=300, blank=True)
    description = models.CharField(max_length=300, blank=True)
    is_fitted = models.BooleanField(default=True)
    line = models.PositiveIntegerField()

    class Meta:
        ordering = ["place"]
        verbose_name = "line of a bill of materials"
        constraints = [models.UniqueConstraint(fields=["bill", "place"], name="bill_designator_once")]

    def __str__(self) -> str:
        return self.designator


class DesignatorRule(models.Model):
    """Which designators belong to a subsystem: one, a range or a whole class."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="designator_rules")
    subsystem = models.ForeignKey(Subsystem, models.PROTECT, related_name="designator_rules")
    rule = models.CharField(max_length=500)

    class Meta:
        ordering = ["subsystem__position", "subsystem__key", "id"]
        verbose_name = "designator rule"

    def __str__(self) -> str:
        return self.rule
