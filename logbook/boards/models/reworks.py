"""Tables of what was done to single boards by hand."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.boards.choices import ReworkIntent, ReworkKind
from logbook.boards.models.boards import Board
from logbook.projects.models import KEY, Change, Subsystem


class Rework(models.Model):
    """Something done to one board by hand, in force from one moment until another."""

    board = models.ForeignKey(Board, models.PROTECT, related_name="reworks")
    key = models.CharField(max_length=30, validators=[KEY])
    kind = models.CharField(max_length=20, choices=ReworkKind)
    intent = models.CharField(max_length=20, choices=ReworkIntent)
    what = models.TextField(max_length=2_000)
    reason = models.TextField(blank=True, max_length=2_000)
    subsystems = models.ManyToManyField(Subsystem, related_name="reworks")
    in_force_from = models.DateTimeField()
    in_force_until = models.DateTimeField(null=True, blank=True)
    reversible = models.BooleanField(default=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["in_force_from", "id"]
        verbose_name = "rework"
        constraints = [
            models.UniqueConstraint(fields=["board", "key"], name="rework_key_once"),
            models.CheckConstraint(
                condition=models.Q(in_force_until__isnull=True)
                | models.Q(in_force_until__gt=models.F("in_force_from")),
                name="rework_ends_after_it_begins",
                violation_error_message="A rework is undone after it was done.",
            ),
        ]

    def __str__(self) -> str:
        return self.key


class ReworkFoldedIn(models.Model):
    """A change made part of the drawing what a rework did by hand. Append-only."""

    change = models.ForeignKey(Change, models.PROTECT, related_name="folded_in")
    rework = models.ForeignKey(Rework, models.PROTECT, related_name="folded_into")
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name = "rework folded in"
        constraints = [models.UniqueConstraint(fields=["change", "rework"], name="rework_folded_in_once")]

    def __str__(self) -> str:
        return f"{self.rework} into {self.change}"


class ReworkPath(models.Model):
    """From where to where a rework cuts, wires or moves something."""

    rework = models.ForeignKey(Rework, models.CASCADE, related_name="paths")
    order = models.PositiveIntegerField()
    begins_at = models.CharField(max_length=80)
    leads_to = models.CharField(max_length=80, blank=True)
    wire = models.CharField(max_length=60, blank=True)
    length = models.CharField(max_length=30, blank=True)

    class Meta:
        ordering = ["order", "id"]
        verbose_name = "path of a rework"

    def __str__(self) -> str:
        path = f"{self.begins_at} → {self.leads_to}" if self.leads_to else self.begins_at
        made_with = ", ".join(text for text in (self.wire, self.length) if text)
        return f"{path} ({made_with})" if made_with else path
