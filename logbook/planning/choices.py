"""Fixed words of decisions."""

from __future__ import annotations

from logbook.core.risk import Decision, RiskKind, SubjectKind

DECISIONS = [(str(word), str(word)) for word in Decision]
KINDS = [(str(word), str(word)) for word in RiskKind]
SUBJECT_KINDS = [(str(word), str(word)) for word in SubjectKind]
