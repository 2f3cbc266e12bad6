"""Table of how the options of a board were found."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.boards.models.boards import Board
from logbook.projects.models import Option, OptionPosition


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
