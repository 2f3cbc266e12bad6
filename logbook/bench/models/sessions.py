"""Bench sessions."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.bench.models.instruments import Instrument
from logbook.boards.models import Board
from logbook.projects.models import Project


class BenchSession(models.Model):
    """A sitting at the bench; what is entered here once is inherited by its readings."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="bench_sessions")
    title = models.CharField(max_length=120)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    people = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="bench_sessions", blank=True)
    boards = models.ManyToManyField(Board, related_name="bench_sessions", blank=True)
    instruments = models.ManyToManyField(Instrument, related_name="bench_sessions", blank=True)
    place = models.CharField(max_length=120, blank=True)
    ambient_c = models.FloatField(null=True, blank=True)
    supply = models.CharField(max_length=120, blank=True)
    firmware = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True, max_length=20_000)
    next_step = models.TextField(blank=True, max_length=2_000)

    class Meta:
        ordering = ["-started_at", "-id"]
        verbose_name = "bench session"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ended_at__isnull=True) | models.Q(ended_at__gte=models.F("started_at")),
                name="bench_session_ends_after_it_begins",
                violation_error_message="A bench session ends after it begins.",
            )
        ]

    def __str__(self) -> str:
        return self.title
