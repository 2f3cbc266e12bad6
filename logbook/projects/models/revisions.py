"""Table of the states of a design."""

from __future__ import annotations

from django.db import models

from logbook.projects.models.keys import KEY
from logbook.projects.models.projects import Project


class Revision(models.Model):
    """One state of the design, and how a board of it is powered."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="revisions")
    label = models.CharField(max_length=20, validators=[KEY])
    parent = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="children")
    summary = models.TextField(blank=True, max_length=20_000)
    drawn_on = models.DateField(null=True, blank=True)
    ordered_on = models.DateField(null=True, blank=True)
    power_input = models.CharField(max_length=120, blank=True)
    polarity = models.CharField(max_length=200, blank=True)
    current_limit = models.CharField(max_length=60, blank=True)
    idle_current = models.CharField(max_length=60, blank=True)
    never_connect = models.TextField(blank=True, max_length=2_000)

    class Meta:
        ordering = ["id"]
        verbose_name = "revision"
        constraints = [models.UniqueConstraint(fields=["project", "label"], name="revision_label_once")]

    def __str__(self) -> str:
        return self.label
