"""Fixed words of targets and measurements."""

from django.db import models

# Each letter is one caution; its text stands in ``logbook.web.cautions``.
CAUTION_LETTERS = frozenset("EPGBCHFSLAWM")


class TargetKind(models.TextChoices):
    NUMBER = "number", "number"
    YES_NO = "yes/no", "yes or no"
    COUNT = "count", "count"
    SEEN_WORKING = "seen working", "seen working"


class Outcome(models.TextChoices):
    NUMBER = "number", "number"
    YES_NO = "yes/no", "yes or no"
    COUNT = "count", "count"
    SEEN_WORKING = "seen working", "seen working"
    NOT_WORKING = "not working", "not working"
    INCONCLUSIVE = "inconclusive", "inconclusive"


class Rule(models.TextChoices):
    GUARDED = "guarded", "guarded acceptance"
    SIMPLE = "simple", "simple acceptance"


class Basis(models.TextChoices):
    STANDARD = "standard", "standard"
    DATASHEET = "datasheet", "data sheet"
    DERIVED = "derived", "derived"
    REQUIREMENT = "requirement", "requirement"
    JUDGEMENT = "judgement", "judgement"


class Severity(models.TextChoices):
    S1 = "S1", "S1: can damage the board or what is connected"
    S2 = "S2", "S2: blocks a subsystem or the next check"
    S3 = "S3", "S3: degrades, a workaround exists"
    S4 = "S4", "S4: nuisance"
    S5 = "S5", "S5: cosmetic"


class Harm(models.TextChoices):
    """Harm to people, in the words of MIL-STD-882E; empty when there is none."""

    CATASTROPHIC = "catastrophic", "catastrophic"
    CRITICAL = "critical", "critical"
    MARGINAL = "marginal", "marginal"
    NEGLIGIBLE = "negligible", "negligible"


class CalibrationResult(models.TextChoices):
    IN_LIMITS = "in limits", "found in limits"
    OUT_OF_LIMITS = "out of limits", "found out of limits"


class Verdict(models.TextChoices):
    PASS = "pass", "pass"
    CONDITIONAL_PASS = "conditional pass", "conditional pass"
    CONDITIONAL_FAIL = "conditional fail", "conditional fail"
    FAIL = "fail", "fail"
