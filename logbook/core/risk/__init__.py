"""Open risks of a revision, derived from the states of its targets.

Nothing here is typed in: a row follows from a state, its probability from readings or from a base rate,
its level from the matrix of MIL-STD-882E, and each says where it comes from and what would close it.
A decision on a row holds while the facts it was made on hold, and names the one that no longer does.
"""

from __future__ import annotations

from logbook.core.risk.dispositions import (
    Decided,
    Decision,
    Held,
    Hold,
    carries_over,
    decision_problems,
    holds,
)
from logbook.core.risk.fingerprint import Fingerprint, differences, fingerprint, has_new_reading
from logbook.core.risk.kinds import RiskKind, SubjectKind
from logbook.core.risk.others import (
    LESSON_STRENGTHS,
    FindingFacts,
    LessonFacts,
    risk_of_finding,
    risk_of_lapsed,
    risk_of_lesson,
    risk_of_option,
    risk_of_rework,
)
from logbook.core.risk.probability import BaseRate, Probability, base_probability, probability_of_failure
from logbook.core.risk.row import Risk, Stakes, Subject, risk_row
from logbook.core.risk.rows import risk_of_target, risks_of_targets
from logbook.core.risk.scales import (
    FUNCTION_BANDS,
    HARM_BANDS,
    HOURS_SAVED,
    RISK_MATRIX,
    Harm,
    Level,
    ProbabilityBands,
    Severity,
    level_of,
    worse_level,
)

__all__ = [
    "FUNCTION_BANDS",
    "HARM_BANDS",
    "HOURS_SAVED",
    "LESSON_STRENGTHS",
    "RISK_MATRIX",
    "BaseRate",
    "Decided",
    "Decision",
    "FindingFacts",
    "Fingerprint",
    "Harm",
    "Held",
    "Hold",
    "LessonFacts",
    "Level",
    "Probability",
    "ProbabilityBands",
    "Risk",
    "RiskKind",
    "Severity",
    "Stakes",
    "Subject",
    "SubjectKind",
    "base_probability",
    "carries_over",
    "decision_problems",
    "differences",
    "fingerprint",
    "has_new_reading",
    "holds",
    "level_of",
    "probability_of_failure",
    "risk_of_finding",
    "risk_of_lapsed",
    "risk_of_lesson",
    "risk_of_option",
    "risk_of_rework",
    "risk_of_target",
    "risk_row",
    "risks_of_targets",
    "worse_level",
]
