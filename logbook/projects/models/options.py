"""Tables of the choices a design left open."""

from __future__ import annotations

from django.db import models

from logbook.projects.models.keys import KEY
from logbook.projects.models.projects import Project
from logbook.projects.models.revisions import Revision
from logbook.projects.models.subsystems import Subsystem


class Option(models.Model):
    """A strap, jumper or fit choice the design left open."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="options")
    subsystem = models.ForeignKey(Subsystem, models.PROTECT, related_name="options")
    key = models.CharField(max_length=30, validators=[KEY])
    name = models.CharField(max_length=120)
    note = models.TextField(blank=True, max_length=20_000)

    class Meta:
        ordering = ["key"]
        verbose_name = "option"
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="option_key_once")]

    def __str__(self) -> str:
        return self.key


class OptionPosition(models.Model):
    """One position an option can be in, and what it does."""

    option = models.ForeignKey(Option, models.CASCADE, related_name="positions")
    name = models.CharField(max_length=60)
    meaning = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "option position"
        constraints = [models.UniqueConstraint(fields=["option", "name"], name="option_position_once")]

    def __str__(self) -> str:
        return self.name


class DesignedPosition(models.Model):
    """The position an option has by design on a revision; no position means it is not fitted there."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="designed_positions")
    option = models.ForeignKey(Option, models.PROTECT, related_name="designed_positions")
    position = models.ForeignKey(OptionPosition, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        verbose_name = "designed position"
        constraints = [models.UniqueConstraint(fields=["revision", "option"], name="designed_position_once")]

    def __str__(self) -> str:
        return f"{self.option} {self.position or 'not fitted'}"
