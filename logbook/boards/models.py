"""Tables of boards."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.boards.choices import BoardState, ReworkIntent, ReworkKind
from logbook.projects.models import KEY, Change, Option, OptionPosition, Project, Revision, Subsystem


class Board(models.Model):
    """One physical, serialised item built to a revision."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="boards")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="boards")
    serial = models.CharField(max_length=40, validators=[KEY])
    state = models.CharField(max_length=12, choices=BoardState, default=BoardState.NEW)
    location = models.CharField(max_length=200, blank=True)
    last_powered = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True, max_length=20_000)

    class Meta:
        ordering = ["serial"]
        verbose_name = "board"
        constraints = [models.UniqueConstraint(fields=["project", "serial"], name="board_serial_once")]

    def __str__(self) -> str:
        return self.serial


class BoardEvent(models.Model):
    """A board came into a state or to a place. Append-only."""

    board = models.ForeignKey(Board, models.PROTECT, related_name="events")
    state = models.CharField(max_length=12, choices=BoardState)
    location = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    note = models.TextField(blank=True, max_length=20_000)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-at", "-id"]
        verbose_name = "board state"

    def __str__(self) -> str:
        return f"{self.board} {self.state}"


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


class OptionSetting(models.Model):
    """The position an option was found in on one board, from one moment until the next setting."""

    board = models.ForeignKey(Board, models.PROTECT, related_name="option_settings")
    option = models.ForeignKey(Option, models.PROTECT, related_name="settings")
    position = models.ForeignKey(OptionPosition, models.PROTECT, null=True, blank=True, related_name="+")
    in_force_from = models.DateTimeField()
    in_force_until = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["in_force_from", "id"]
        verbose_name = "option setting"
        constraints = [
            models.UniqueConstraint(fields=["board", "option", "in_force_from"], name="option_setting_once"),
            models.CheckConstraint(
                condition=models.Q(in_force_until__isnull=True)
                | models.Q(in_force_until__gt=models.F("in_force_from")),
                name="option_setting_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.option} {self.position or 'not fitted'}"
