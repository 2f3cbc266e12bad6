"""Fixed words of findings, and the one table of the moves a finding may make."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from django.db import models

from logbook.bench.choices import Verdict
from logbook.core.risk.findings import CLOSED, FindingState

S = FindingState


class CauseFamily(models.TextChoices):
    """Where faults come from; common practice of board designers."""

    REQUIREMENT = "requirement or memory", "requirement or memory"
    SCHEMATIC = "schematic", "schematic"
    LIBRARY = "library pin-out or footprint", "library pin-out or footprint"
    LAYOUT = "layout, stack-up", "layout, stack-up"
    FABRICATION = "fabrication", "fabrication"
    ASSEMBLY = "assembly", "assembly"
    COMPONENT = "component", "component"
    FIRMWARE = "firmware or configuration", "firmware or configuration"
    MECHANICAL = "mechanical", "mechanical"
    DOCUMENTATION = "documentation", "documentation"
    MEASUREMENT = "measurement", "measurement"
    ENVIRONMENT = "environment or use", "environment or use"


class Side(models.TextChoices):
    TOP = "top", "top"
    BOTTOM = "bottom", "bottom"


STATES = [(str(state), str(state)) for state in FindingState]
CLOSINGS = tuple(state for state in FindingState if state in CLOSED)
# Nothing more is to be done about these.
DONE = frozenset({S.PROVEN, *CLOSED})
# Verdicts of a reading that may prove a fix.
PROVING = (Verdict.PASS, Verdict.CONDITIONAL_PASS)
# From here on it is known to be a fault of the design; released revisions publish it.
CONFIRMED = frozenset({S.REPRODUCED, S.UNDERSTOOD, S.DECIDED, S.IN_THE_FILES, S.BUILT, S.PROVEN})

# Steps go on, may leave one out where it was taken at once, and go back where it did not hold.
MOVES: Mapping[FindingState, tuple[FindingState, ...]] = MappingProxyType(
    {
        S.SUSPECTED: (S.REPRODUCED, S.UNDERSTOOD, *CLOSINGS),
        S.REPRODUCED: (S.UNDERSTOOD, S.DECIDED, *CLOSINGS),
        S.UNDERSTOOD: (S.DECIDED, S.NOT_OURS, S.DUPLICATE),
        S.DECIDED: (S.IN_THE_FILES, S.UNDERSTOOD, S.DUPLICATE),
        S.IN_THE_FILES: (S.BUILT, S.DECIDED),
        S.BUILT: (S.PROVEN, S.REPRODUCED),
        S.PROVEN: (S.REPRODUCED,),
        S.NOT_OURS: (S.SUSPECTED,),
        S.NO_FAULT_FOUND: (S.SUSPECTED,),
        S.DUPLICATE: (S.SUSPECTED,),
        S.CANNOT_REPRODUCE: (S.SUSPECTED, S.REPRODUCED),
    }
)
ORDER = {state: place for place, state in enumerate(FindingState)}


def needs_note(before: FindingState, after: FindingState) -> bool:
    """Say whether the move must say why: the decision itself, a closing, or a step back."""
    return after == S.DECIDED or after in CLOSED or ORDER[after] < ORDER[before]
