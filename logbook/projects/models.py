"""Tables of projects and of what a design is made of."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models

from logbook.projects.choices import CauseKind, ChangeKind, ChangeState, ProjectState, Role, SubsystemKind

KEY = RegexValidator(
    r"^[A-Za-z0-9][A-Za-z0-9._+-]*\Z",
    "Use letters, digits and . _ + - only, beginning with a letter or digit.",
)
SLUG = RegexValidator(r"^[a-z0-9][a-z0-9-]*\Z", "Use lower-case letters, digits and hyphens only.")


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


class Revision(models.Model):
    """One state of the design, and how a board of it is powered."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="revisions")
    label = models.CharField(max_length=20, validators=[KEY])
    parent = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="children")
    summary = models.TextField(blank=True, max_length=20_000)
    drawn_on = models.DateField(null=True, blank=True)
    ordered_on = models.DateField(null=True, blank=True)
    power_input = models.CharField(max_length=120, blank=True)
    polarity = models.CharField(max_length=200, blank=True)
    current_limit = models.CharField(max_length=60, blank=True)
    idle_current = models.CharField(max_length=60, blank=True)
    never_connect = models.TextField(blank=True, max_length=2_000)

    class Meta:
        ordering = ["id"]
        verbose_name = "revision"
        constraints = [models.UniqueConstraint(fields=["project", "label"], name="revision_label_once")]

    def __str__(self) -> str:
        return self.label


class Change(models.Model):
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
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_because = models.CharField(max_length=500, blank=True)

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
