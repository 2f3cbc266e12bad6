"""Table of what was written down on the last day before a project was laid aside."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.projects.models.projects import ProjectStateEvent

LONG = 20_000
# What a note can say, in the order it is asked for; nothing is forced.
NOTE_TEXTS = (
    "why_stopped",
    "would_restart",
    "next_steps",
    "unsafe",
    "half_done",
    "never_verified",
    "accepted",
    "boards",
    "whereabouts",
    "cells",
    "files",
    "toolchain",
    "who_knows",
)


class ShelvingNote(models.Model):
    """What was known when a project was laid aside. Append-only; the newest of a shelving counts."""

    event = models.ForeignKey(ProjectStateEvent, models.PROTECT, related_name="shelving_notes")
    why_stopped = models.TextField(blank=True, max_length=LONG)
    would_restart = models.TextField(blank=True, max_length=LONG)
    next_steps = models.TextField(blank=True, max_length=LONG)
    unsafe = models.TextField(blank=True, max_length=LONG)
    half_done = models.TextField(blank=True, max_length=LONG)
    never_verified = models.TextField(blank=True, max_length=LONG)
    accepted = models.TextField(blank=True, max_length=LONG)
    boards = models.TextField(blank=True, max_length=LONG)
    whereabouts = models.TextField(blank=True, max_length=LONG)
    cells = models.TextField(blank=True, max_length=LONG)
    files = models.TextField(blank=True, max_length=LONG)
    toolchain = models.TextField(blank=True, max_length=LONG)
    who_knows = models.TextField(blank=True, max_length=LONG)
    look_again_on = models.DateField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name = "shelving note"

    def __str__(self) -> str:
        return f"shelving note of {self.recorded_at:%Y-%m-%d}"
