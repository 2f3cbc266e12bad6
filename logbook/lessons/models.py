"""Tables of lessons, of how far each has come, of what each revision answered, and of checks they carry."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models

from logbook.bench.choices import Severity
from logbook.bench.models import Target
from logbook.findings.models import Finding
from logbook.lessons.choices import AnswerWord, Discipline, Firmness, LessonState, Moment
from logbook.projects.models import Change, Project, Revision

# A lesson is also found by its number, so a key never looks like one.
LESSON_KEY = RegexValidator(
    r"^(?=.*[A-Za-z])[A-Za-z0-9][A-Za-z0-9._+-]*\Z",
    "Use letters, digits and . _ + - only, beginning with a letter or digit, and at least one letter.",
)
QUESTION = ("rule", "discipline", "moment", "firmness", "always", "characteristics", "subsystem_kinds")
TOLD = ("what_happened", "why", "how_to_check", "cost", "learned_on", "finding")


class Lesson(models.Model):
    """A rule learned. Its question (``QUESTION``) stands once accepted; what is told of it may be mended."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="lessons")
    key = models.CharField(max_length=30, unique=True, validators=[LESSON_KEY])
    rule = models.CharField(max_length=200)
    what_happened = models.TextField(blank=True, max_length=20_000)
    why = models.TextField(blank=True, max_length=20_000)
    how_to_check = models.TextField(blank=True, max_length=2_000)
    discipline = models.CharField(max_length=16, choices=Discipline)
    moment = models.CharField(max_length=24, choices=Moment)
    firmness = models.CharField(max_length=8, choices=Firmness)
    always = models.BooleanField(default=False)
    characteristics = models.JSONField(default=list, blank=True)
    subsystem_kinds = models.JSONField(default=list, blank=True)
    cost = models.CharField(max_length=300, blank=True)
    learned_on = models.DateField()
    finding = models.ForeignKey(Finding, models.PROTECT, null=True, blank=True, related_name="lessons")
    # Since when everyone who signs in may read it; never taken back, because it may have been read.
    shared_at = models.DateTimeField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["key"]
        verbose_name = "lesson"

    def __str__(self) -> str:
        return self.key


class LessonEvent(models.Model):
    """A lesson was proposed, accepted, superseded or withdrawn. Append-only."""

    lesson = models.ForeignKey(Lesson, models.PROTECT, related_name="events")
    state = models.CharField(max_length=12, choices=LessonState)
    at = models.DateTimeField()
    note = models.TextField(blank=True, max_length=2_000)
    superseded_by = models.ForeignKey(
        Lesson, models.PROTECT, null=True, blank=True, related_name="supersedings"
    )
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        verbose_name = "state of a lesson"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state=LessonState.SUPERSEDED, superseded_by__isnull=False)
                | (~models.Q(state=LessonState.SUPERSEDED) & models.Q(superseded_by__isnull=True)),
                name="lesson_superseded_by_another",
                violation_error_message="A superseded lesson names the one that replaces it.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.lesson} {self.state}"


class LessonCheck(models.Model):
    """A check a lesson carries: a check template by its key, or a check of its own with limits."""

    lesson = models.OneToOneField(Lesson, models.PROTECT, related_name="carried_check")
    template = models.CharField(max_length=20, blank=True)
    name = models.CharField(max_length=160, blank=True)
    limits = models.CharField(max_length=120, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    nominal = models.CharField(max_length=60, blank=True)
    conditions = models.CharField(max_length=300, blank=True)
    method = models.TextField(blank=True, max_length=2_000)
    minutes = models.PositiveIntegerField(default=5)
    severity = models.CharField(max_length=2, choices=Severity, default=Severity.S3)

    class Meta:
        verbose_name = "check of a lesson"

    def __str__(self) -> str:
        return self.name or self.template


class LessonTarget(models.Model):
    """A target that was made from the check a lesson carries."""

    lesson = models.ForeignKey(Lesson, models.PROTECT, related_name="targets")
    target = models.OneToOneField(Target, models.PROTECT, related_name="from_lesson")
    added_at = models.DateTimeField()
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name = "target from a lesson"

    def __str__(self) -> str:
        return f"{self.target} from {self.lesson}"


class LessonAnswer(models.Model):
    """What a revision answers to a lesson. Append-only; the newest counts."""

    lesson = models.ForeignKey(Lesson, models.PROTECT, related_name="answers")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="lesson_answers")
    answer = models.CharField(max_length=16, choices=AnswerWord)
    text = models.TextField(max_length=2_000)
    change = models.ForeignKey(
        Change, models.PROTECT, null=True, blank=True, related_name="answers_to_lessons"
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        verbose_name = "answer to a lesson"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(change__isnull=True) | models.Q(answer=AnswerWord.TO_DO),
                name="lesson_answer_with_change_is_to_do",
                violation_error_message="Only what is to be done becomes a change.",
            )
        ]
        indexes = [models.Index(fields=["revision", "lesson"], name="lesson_answers_of_revision")]

    def __str__(self) -> str:
        return f"{self.lesson} on {self.revision}: {self.answer}"
