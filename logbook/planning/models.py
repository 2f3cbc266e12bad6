"""Tables of decisions that states depend on."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models

from logbook.bench.models import Target
from logbook.common.models import Withdrawable
from logbook.planning.choices import DECISIONS, KINDS, SUBJECT_KINDS, OrderDecision
from logbook.projects.models import KEY, Change, Revision

SHA256 = RegexValidator(r"^[0-9a-f]{64}\Z", "A SHA-256 is 64 digits of 0-9 and a-f.")


class CarriedOver(Withdrawable):
    """Somebody vouches that an ancestor's evidence for a target holds; withdrawn, never altered."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="carried_over")
    target = models.ForeignKey(Target, models.PROTECT, related_name="carried_over")
    argument = models.TextField(max_length=2_000)
    by = models.CharField(max_length=120)

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


class NotApplicable(Withdrawable):
    """Somebody decided that a target does not apply to a revision; withdrawn, never altered."""

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="not_applicable")
    target = models.ForeignKey(Target, models.PROTECT, related_name="not_applicable")
    reason = models.TextField(max_length=2_000)
    by = models.CharField(max_length=120)

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


class Disposition(Withdrawable):
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


class Order(models.Model):
    """A person decided to order a revision, or not to. Append-only; the day of ordering may follow, once.

    ``answers`` is a list of ``{"key", "question", "answer", "remark"}``, ``missing`` one of ``{"what",
    "reason"}``: how ready the revision was at that moment, in words. ``files`` names the files of the set
    with their SHA-256 where they are kept here; the hash alone may also come from outside.
    """

    revision = models.ForeignKey(Revision, models.PROTECT, related_name="orders")
    decision = models.CharField(max_length=20, choices=OrderDecision)
    name = models.CharField(max_length=120)
    decided_on = models.DateField()
    conditions = models.TextField(max_length=2_000, blank=True)
    note = models.TextField(max_length=2_000, blank=True)
    answers = models.JSONField(default=list)
    files = models.JSONField(default=list, blank=True)
    files_sha256 = models.CharField(max_length=64, blank=True, validators=[SHA256])
    ready = models.BooleanField()
    missing = models.JSONField(default=list, blank=True)
    ordered_on = models.DateField(null=True, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name = "order"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(decision=OrderDecision.CONDITIONAL) ^ models.Q(conditions=""),
                name="order_has_conditions_where_it_says_so",
                violation_error_message="Conditions belong to 'go with conditions', which needs them.",
            ),
            models.CheckConstraint(
                condition=~models.Q(decision=OrderDecision.NO_GO) | models.Q(ordered_on__isnull=True),
                name="order_no_go_is_not_placed",
                violation_error_message="After 'no-go' nothing is ordered.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.decision} for {self.revision}"
