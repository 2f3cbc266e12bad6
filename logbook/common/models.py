"""The record of changes, the jobs that wait to be done, and the columns of what is only withdrawn."""

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


class Job(models.Model):
    """A piece of background work, written in the transaction that asked for it.

    Whoever takes it up holds it until ``leased_until``; after that anybody may take it up again, so no
    lost broker message and no killed worker loses work. A job is safe to run twice.
    """

    name = models.CharField(max_length=60)
    subject_id = models.BigIntegerField()
    asked_at = models.DateTimeField()
    leased_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveIntegerField(default=0)
    finished_at = models.DateTimeField(null=True, blank=True)
    problem = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "job"
        indexes = [
            models.Index(
                fields=["id"], condition=models.Q(finished_at__isnull=True), name="jobs_not_finished"
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.subject_id}"


class Withdrawable(models.Model):
    """What is never edited: it stands until it is withdrawn with a reason (``common.withdrawing``)."""

    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_because = models.CharField(max_length=500, blank=True)

    class Meta:
        abstract = True
