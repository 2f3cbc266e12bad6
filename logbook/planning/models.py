"""Tables of decisions that states depend on."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from logbook.bench.models import Target
from logbook.planning.choices import DECISIONS, KINDS, SUBJECT_KINDS
from logbook.projects.models import KEY, Change, Revision


class CarriedOver(models.Model):
    """Somebody vouches that an ancestor's evidence for a target holds; withdrawn, never altered."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="carried_over")
    target = models.ForeignKey(Target, models.PROTECT, related_name="carried_over")
    argument = models.TextField(max_length=2_000)
    by = models.CharField(max_length=120)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_because = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "carry-over"
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "target"],
                condition=models.Q(withdrawn_at__isnull=True),
                name="carried_over_once",
                violation_error_message="This target is already carried over to that revision.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.target} to {self.revision}"


class NotApplicable(models.Model):
    """Somebody decided that a target does not apply to a revision; withdrawn, never altered."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="not_applicable")
    target = models.ForeignKey(Target, models.PROTECT, related_name="not_applicable")
    reason = models.TextField(max_length=2_000)
    by = models.CharField(max_length=120)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_because = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "target not applicable"
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "target"],
                condition=models.Q(withdrawn_at__isnull=True),
                name="not_applicable_once",
                violation_error_message="This target is already not applicable to that revision.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.target} on {self.revision}"


class Disposition(models.Model):
    """The decision on one row of the open-risk list, with the facts it was made on.

    The latest one on a subject counts; withdrawn, never altered. Revisions an acceptance or a deferral ends
    with are labels, because they need not exist yet.
    """

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="dispositions")
    subject_kind = models.CharField(max_length=10, choices=SUBJECT_KINDS)
    subject = models.CharField(max_length=100)
    kind = models.CharField(max_length=30, choices=KINDS)
    decision = models.CharField(max_length=12, choices=DECISIONS)
    owner = models.CharField(max_length=120, blank=True)
    reason = models.TextField(max_length=2_000, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    expires_with = models.CharField(max_length=20, blank=True, validators=[KEY])
    reopens_with = models.CharField(max_length=20, blank=True, validators=[KEY])
    change = models.ForeignKey(Change, models.PROTECT, null=True, blank=True, related_name="dispositions")
    fingerprint = models.JSONField()
    told = models.TextField(max_length=2_000)
    by = models.CharField(max_length=120)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_because = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["id"]
        verbose_name = "disposition"
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(decision="accept")
                | (
                    ~models.Q(owner="")
                    & ~models.Q(reason="")
                    & (models.Q(expires_on__isnull=False) | ~models.Q(expires_with=""))
                ),
                name="disposition_accept_has_owner_reason_end",
                violation_error_message="An acceptance needs an owner, a reason and an end.",
            ),
            models.CheckConstraint(
                condition=~models.Q(decision="defer") | ~models.Q(reopens_with=""),
                name="disposition_defer_has_end",
                violation_error_message="A deferral needs the revision that brings it back.",
            ),
        ]
        indexes = [
            models.Index(fields=["revision", "subject_kind", "subject"], name="disposition_by_subject")
        ]

    def __str__(self) -> str:
        return f"{self.decision} {self.subject_kind} {self.subject} on {self.revision}"
