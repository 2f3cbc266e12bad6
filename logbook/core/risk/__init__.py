"""Open risks of a revision, derived from the states of its targets.

Nothing here is typed in: a row follows from a state, its probability from readings or from a base rate,
its level from the matrix of MIL-STD-882E, and each says where it comes from and what would close it.
"""

from __future__ import annotations

from logbook.core.risk.probability import BaseRate, Probability, base_probability, probability_of_failure
from logbook.core.risk.rows import Risk, RiskKind, Stakes, risk_of_target, risks_of_targets
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
    "RISK_MATRIX",
    "BaseRate",
    "Harm",
    "Level",
    "Probability",
    "ProbabilityBands",
    "Risk",
    "RiskKind",
    "Severity",
    "Stakes",
    "base_probability",
    "level_of",
    "probability_of_failure",
    "risk_of_target",
    "risks_of_targets",
    "worse_level",
]
