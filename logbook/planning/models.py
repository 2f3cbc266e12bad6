"""Tables of decisions that states depend on."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.bench.models import Target
from logbook.projects.models import Revision


class CarriedOver(models.Model):
    """Somebody vouches that an ancestor's evidence for a target holds; withdrawn, never altered."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="carried_over")
    target = models.ForeignKey(Target, models.PROTECT, related_name="carried_over")
    argument = models.TextField(max_length=2_000)
    by = models.CharField(max_length=120)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_because = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "carry-over"
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "target"],
                condition=models.Q(withdrawn_at__isnull=True),
                name="carried_over_once",
                violation_error_message="This target is already carried over to that revision.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.target} to {self.revision}"
