"""Tables of a project, its state and its people."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.projects.choices import ProjectState, Role
from logbook.projects.models.keys import SLUG


class Project(models.Model):
    """One product under development."""

    slug = models.CharField(max_length=60, unique=True, validators=[SLUG])
    code = models.CharField(max_length=12, blank=True)
    name = models.CharField(max_length=120)
    purpose = models.TextField(blank=True, max_length=20_000)
    state = models.CharField(max_length=10, choices=ProjectState, default=ProjectState.ACTIVE)
    descends_from = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="descendants"
    )
    part_of = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="parts")
    shares_counts = models.BooleanField(default=True)
    # Hours of work saved by finding a fault of each severity before ordering rather than after.
    hours_s1 = models.FloatField(default=80)
    hours_s2 = models.FloatField(default=40)
    hours_s3 = models.FloatField(default=8)
    hours_s4 = models.FloatField(default=2)
    hours_s5 = models.FloatField(default=0.5)
    opened_at = models.DateTimeField()

    class Meta:
        ordering = ["name", "id"]
        verbose_name = "project"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(hours_s1__gte=0, hours_s2__gte=0, hours_s3__gte=0)
                & models.Q(hours_s4__gte=0, hours_s5__gte=0),
                name="project_hours_not_negative",
                violation_error_message="Hours saved cannot be negative.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def hours(self) -> tuple[float, float, float, float, float]:
        """Return the hours saved per severity S1 to S5."""
        return (self.hours_s1, self.hours_s2, self.hours_s3, self.hours_s4, self.hours_s5)


class Characteristic(models.Model):
    """A tag that says what a project has in it, such as ``external-dram``."""

    project = models.ForeignKey(Project, models.CASCADE, related_name="characteristics")
    name = models.CharField(max_length=60, validators=[SLUG])

    class Meta:
        ordering = ["name"]
        verbose_name = "characteristic"
        constraints = [models.UniqueConstraint(fields=["project", "name"], name="characteristic_once")]

    def __str__(self) -> str:
        return self.name


class ProjectStateEvent(models.Model):
    """The project became active, shelved or finished. Append-only."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="state_events")
    state = models.CharField(max_length=10, choices=ProjectState)
    at = models.DateTimeField()
    note = models.TextField(blank=True, max_length=20_000)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["-at", "-id"]
        verbose_name = "project state"

    def __str__(self) -> str:
        return f"{self.project} {self.state}"


class Membership(models.Model):
    """A person's role on a project."""

    project = models.ForeignKey(Project, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=10, choices=Role)

    class Meta:
        ordering = ["project_id", "user__username"]
        verbose_name = "membership"
        constraints = [models.UniqueConstraint(fields=["project", "user"], name="membership_once")]

    def __str__(self) -> str:
        return f"{self.user} {self.role}"
