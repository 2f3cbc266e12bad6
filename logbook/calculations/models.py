"""Tables of saved calculations."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.projects.models import KEY, Project


class Calculation(models.Model):
    """A tolerance stack-up kept on a project: formula and parts as typed, and the bands they give.

    ``parts`` is ``{name: {"nominal": …, "tolerance": …, …}}`` as the calculator takes it; ``bands`` holds
    nominal and the low and high of each method as decimal text in ``unit``. ``version`` counts changes.
    """

    project = models.ForeignKey(Project, models.PROTECT, related_name="calculations")
    key = models.CharField(max_length=30, validators=[KEY])
    name = models.CharField(max_length=160)
    formula = models.CharField(max_length=500)
    parts = models.JSONField(default=dict)
    unit = models.CharField(max_length=20, blank=True)
    samples = models.PositiveIntegerField(default=200_000)
    seed = models.PositiveIntegerField(default=1)
    bands = models.JSONField(default=dict)
    source = models.CharField(max_length=300, blank=True)
    note = models.TextField(blank=True, max_length=20_000)
    version = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["key"]
        verbose_name = "calculation"
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="calculation_key_once")]

    def __str__(self) -> str:
        return self.key
