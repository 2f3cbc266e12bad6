"""What a row of the open-risk list is about, and why it is there."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

from logbook.core.state import State


class SubjectKind(StrEnum):
    """What a row is about."""

    TARGET = "target"
    FINDING = "finding"
    LESSON = "lesson"
    OPTION = "option"
    REWORK = "rework"


class RiskKind(StrEnum):
    """Why a row is there."""

    FAILING = "failing"
    MARGINAL = "marginal"
    NEVER_TRIED = "never tried"
    PARTLY_VERIFIED = "partly verified"
    SEEN_WORKING = "seen working"
    STALE = "stale"
    BLOCKED = "blocked"
    UNDECIDABLE = "undecidable"
    OUT_OF_CALIBRATION = "instrument out of calibration"
    OPEN_FINDING = "open finding"
    REWORK_NOT_FOLDED_IN = "rework not folded in"
    OPTION_LEFT_OPEN = "option left open"
    LESSON_NOT_ANSWERED = "lesson not answered"
    ACCEPTANCE_LAPSED = "acceptance lapsed"

    @property
    def is_about_instruments(self) -> bool:
        """Whether the row doubts the instruments of a target rather than the target itself."""
        return self is RiskKind.OUT_OF_CALIBRATION


# Verified, not applicable and waived leave nothing open; carried over what the ancestor's word does.
KIND_OF_STATE: Mapping[State, RiskKind] = MappingProxyType(
    {
        State.FAILING: RiskKind.FAILING,
        State.MARGINAL: RiskKind.MARGINAL,
        State.NEVER_TRIED: RiskKind.NEVER_TRIED,
        State.PARTLY_VERIFIED: RiskKind.PARTLY_VERIFIED,
        State.SEEN_WORKING: RiskKind.SEEN_WORKING,
        State.STALE: RiskKind.STALE,
        State.BLOCKED: RiskKind.BLOCKED,
    }
)
