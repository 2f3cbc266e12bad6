"""The record of changes: who changed what, when, from what to what."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class ChangeRecord(models.Model):
    """One change of one object. Written by commands only, never altered."""

    at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    via = models.CharField(max_length=10)
    action = models.CharField(max_length=30)
    kind = models.CharField(max_length=40)
    object_id = models.BigIntegerField()
    project_id = models.BigIntegerField(null=True)
    title = models.CharField(max_length=200)
    fields = models.JSONField(default=dict)

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(fields=["kind", "object_id"], name="change_of_object"),
            models.Index(fields=["project_id", "-id"], name="change_of_project"),
        ]

    def __str__(self) -> str:
        return f"{self.action} {self.kind} {self.title}"
