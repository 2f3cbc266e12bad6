"""Tables of connectors: what is physically there, and what each pin carries."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.projects.choices import CableKind, PinDirection
from logbook.projects.models.keys import KEY
from logbook.projects.models.options import OptionPosition
from logbook.projects.models.projects import Project
from logbook.projects.models.revisions import Revision
from logbook.projects.models.subsystems import Subsystem


class Connector(models.Model):
    """A connector as one sees it, with a caution where the look misleads."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="connectors")
    subsystem = models.ForeignKey(Subsystem, models.PROTECT, related_name="connectors")
    key = models.CharField(max_length=30, validators=[KEY])
    name = models.CharField(max_length=120)
    place = models.CharField(max_length=200, blank=True)
    physical = models.CharField(max_length=200, blank=True)
    pin_1 = models.CharField(max_length=200, blank=True)
    mates_with = models.CharField(max_length=200, blank=True)
    cable = models.CharField(max_length=10, choices=CableKind, blank=True)
    caution = models.TextField(max_length=2_000, blank=True)

    class Meta:
        ordering = ["key"]
        verbose_name = "connector"
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="connector_key_once")]

    def __str__(self) -> str:
        return self.key


class ConnectorPin(models.Model):
    """What a pin carries on a revision: always, or while an option is in one position.

    Never edited: a newer table of pins takes the older one out of force.
    """

    connector = models.ForeignKey(Connector, models.PROTECT, related_name="pins")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="connector_pins")
    position = models.ForeignKey(
        OptionPosition, models.PROTECT, null=True, blank=True, related_name="connector_pins"
    )
    order = models.PositiveIntegerField()
    number = models.CharField(max_length=10)
    name = models.CharField(max_length=60)
    direction = models.CharField(max_length=10, choices=PinDirection)
    level = models.CharField(max_length=120, blank=True)
    standard = models.CharField(max_length=60, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    replaced_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position_id", "order", "id"]
        verbose_name = "pin"
        constraints = [
            models.UniqueConstraint(
                fields=["connector", "revision", "number"],
                condition=models.Q(replaced_at__isnull=True, position__isnull=True),
                name="connector_pin_once",
            ),
            models.UniqueConstraint(
                fields=["connector", "revision", "position", "number"],
                condition=models.Q(replaced_at__isnull=True),
                name="connector_pin_once_a_position",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.connector}.{self.number}"
