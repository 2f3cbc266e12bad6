"""Tables of the parts of a design and what depends on what."""

from __future__ import annotations

from django.db import models

from logbook.projects.choices import SubsystemKind
from logbook.projects.models.keys import KEY
from logbook.projects.models.projects import Project


class Subsystem(models.Model):
    """A part of the design with a job of its own."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="subsystems")
    key = models.CharField(max_length=30, validators=[KEY])
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=20, choices=SubsystemKind)
    purpose = models.TextField(blank=True, max_length=20_000)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "key"]
        verbose_name = "subsystem"
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="subsystem_key_once")]

    def __str__(self) -> str:
        return self.key


class SubsystemDependency(models.Model):
    """One subsystem depends on another. The whole is kept free of circles by the command."""

    subsystem = models.ForeignKey(Subsystem, models.CASCADE, related_name="dependencies")
    depends_on = models.ForeignKey(Subsystem, models.CASCADE, related_name="dependents")

    class Meta:
        verbose_name = "subsystem dependency"
        constraints = [
            models.UniqueConstraint(fields=["subsystem", "depends_on"], name="subsystem_dependency_once")
        ]

    def __str__(self) -> str:
        return f"{self.subsystem} on {self.depends_on}"
