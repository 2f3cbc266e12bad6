"""Table of what a revision does differently."""

from __future__ import annotations

from django.db import models

from logbook.common.models import Withdrawable
from logbook.projects.choices import CauseKind, ChangeKind, ChangeState
from logbook.projects.models.keys import KEY
from logbook.projects.models.revisions import Revision
from logbook.projects.models.subsystems import Subsystem


class Change(Withdrawable):
    """What a revision does differently from its parent; one that touches nothing is recorded too.

    What evidence is worth hangs on what it touches, so that never changes: a wrong one is withdrawn.
    """

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="changes")
    key = models.CharField(max_length=30, validators=[KEY])
    kind = models.CharField(max_length=12, choices=ChangeKind)
    what = models.TextField(max_length=2_000)
    why = models.TextField(blank=True, max_length=2_000)
    state = models.CharField(max_length=12, choices=ChangeState, default=ChangeState.PLANNED)
    designators = models.CharField(max_length=500, blank=True)
    cause_kind = models.CharField(max_length=10, choices=CauseKind, default=CauseKind.NONE)
    cause = models.CharField(max_length=200, blank=True)
    subsystems = models.ManyToManyField(Subsystem, related_name="changes", blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "change"
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "key"],
                condition=models.Q(withdrawn_at__isnull=True),
                name="change_key_once",
                violation_error_message="This revision already has a change with that key.",
            )
        ]

    def __str__(self) -> str:
        return self.key
