"""Fixed words of decisions."""

from __future__ import annotations

from django.db import models

from logbook.core.risk import Decision, RiskKind, SubjectKind

DECISIONS = [(str(word), str(word)) for word in Decision]
KINDS = [(str(word), str(word)) for word in RiskKind]
SUBJECT_KINDS = [(str(word), str(word)) for word in SubjectKind]


class OrderDecision(models.TextChoices):
    """What was decided before ordering."""

    GO = "go", "go"
    CONDITIONAL = "go with conditions", "go with conditions"
    NO_GO = "no-go", "no-go"


class QuestionAnswer(models.TextChoices):
    """What was answered to one question asked before ordering."""

    YES = "yes", "yes"
    NO = "no", "no"
    NOT_APPLICABLE = "not applicable", "not applicable"
    OPEN = "not answered", "not answered"
