"""Tables of boards and of where they have been."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.boards.choices import BoardState
from logbook.projects.models import KEY, Project, Revision


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
