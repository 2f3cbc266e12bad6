"""Instruments, what they state about their accuracy, and their calibrations."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.bench.choices import CalibrationResult
from logbook.projects.models import KEY


class Instrument(models.Model):
    """A measuring instrument, shared by all projects of the site."""

    name = models.CharField(max_length=60, unique=True, validators=[KEY])
    kind = models.CharField(max_length=120)
    serial = models.CharField(max_length=60, blank=True)
    note = models.TextField(blank=True, max_length=20_000)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]
        verbose_name = "instrument"

    def __str__(self) -> str:
        return self.name


class InstrumentRange(models.Model):
    """Accuracy of one range, as the maker states it. Numbers are decimal text in ``unit``."""

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="ranges")
    name = models.CharField(max_length=60)
    unit = models.CharField(max_length=20)
    full_scale = models.CharField(max_length=40)
    percent_of_reading = models.CharField(max_length=40, blank=True)
    percent_of_range = models.CharField(max_length=40, blank=True)
    counts = models.CharField(max_length=40, blank=True)
    resolution = models.CharField(max_length=40, blank=True)
    conditions = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "instrument range"
        constraints = [models.UniqueConstraint(fields=["instrument", "name"], name="range_name_once")]

    def __str__(self) -> str:
        return self.name


class Calibration(models.Model):
    """A calibration of an instrument: when, how it was found, when the next is due. Append-only."""

    instrument = models.ForeignKey(Instrument, models.PROTECT, related_name="calibrations")
    number = models.CharField(max_length=60)
    on = models.DateField()
    result = models.CharField(max_length=14, choices=CalibrationResult)
    next_due = models.DateField()
    note = models.TextField(blank=True, max_length=2_000)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["on", "id"]
        verbose_name = "calibration"
        constraints = [
            models.UniqueConstraint(fields=["instrument", "number"], name="calibration_number_once"),
            models.CheckConstraint(
                condition=models.Q(next_due__gt=models.F("on")),
                name="calibration_due_after_it_was_done",
                violation_error_message="The next calibration is due after this one.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.instrument} {self.number}"
