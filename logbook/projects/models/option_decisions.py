"""Tables of what became of an option on a revision: decided or left open, and what was ordered."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.projects.choices import DecisionWord
from logbook.projects.models.options import Option, OptionPosition
from logbook.projects.models.revisions import Revision


class OptionDecision(models.Model):
    """An option was decided for a revision, or left open on purpose. Append-only; the newest counts."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="option_decisions")
    option = models.ForeignKey(Option, models.PROTECT, related_name="decisions")
    is_open = models.BooleanField()
    position = models.ForeignKey(OptionPosition, models.PROTECT, null=True, blank=True, related_name="+")
    open_until = models.ForeignKey(Revision, models.PROTECT, null=True, blank=True, related_name="+")
    because = models.TextField(max_length=2_000)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name = "option decision"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(is_open=False, open_until__isnull=True)
                | models.Q(is_open=True, position__isnull=True),
                name="option_decided_or_left_open",
                violation_error_message="An option left open has no position; a decided one is not open.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.option} on {self.revision}"

    @property
    def word(self) -> str:
        """Return *decided* or *left open*."""
        return str(DecisionWord.LEFT_OPEN if self.is_open else DecisionWord.DECIDED)


class OrderedPosition(models.Model):
    """The position of an option a revision was ordered with. Append-only; the newest counts."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="ordered_positions")
    option = models.ForeignKey(Option, models.PROTECT, related_name="ordered_positions")
    position = models.ForeignKey(OptionPosition, models.PROTECT, null=True, blank=True, related_name="+")
    note = models.CharField(max_length=300, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name = "ordered position"

    def __str__(self) -> str:
        return f"{self.option} {self.position or 'not fitted'}"
