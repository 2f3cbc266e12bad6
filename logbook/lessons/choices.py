"""Fixed words of lessons and of the answers to them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from django.db import models

from logbook.projects.choices import ChangeKind


class Discipline(models.TextChoices):
    """Whose work a lesson is about; common practice of board designers."""

    CIRCUIT = "circuit", "circuit"
    PARTS = "parts", "parts"
    LIBRARY = "library", "library"
    LAYOUT = "layout", "layout"
    MECHANICAL = "mechanical", "mechanical"
    FIRMWARE = "firmware", "firmware"
    MEASUREMENT = "measurement", "measurement"
    DOCUMENTATION = "documentation", "documentation"
    PLANNING = "planning", "planning"


class Moment(models.TextChoices):
    """When a lesson is to be asked, in the order a project comes to them; common practice."""

    CHOOSING = "choosing a part", "choosing a part"
    SHEET = "drawing a sheet", "drawing a sheet"
    LIBRARY = "making a library part", "making a library part"
    PLACING = "placing and routing", "placing and routing"
    PANEL = "drawing a panel", "drawing a panel"
    ORDERING = "ordering", "ordering"
    GOODS_IN = "goods in", "goods in"
    FIRST_POWER = "first power", "first power"
    FIRST_MEASUREMENT = "first measurement", "first measurement"
    REWORK = "rework", "rework"
    LENDING = "lending a board", "lending a board"
    SHELVING = "shelving", "shelving"
    REOPENING = "reopening", "reopening"


class Firmness(models.TextChoices):
    MUST = "must", "must"
    SHOULD = "should", "should"
    CONSIDER = "consider", "consider"


class LessonState(models.TextChoices):
    PROPOSED = "proposed", "proposed"
    ACCEPTED = "accepted", "accepted"
    SUPERSEDED = "superseded", "superseded"
    WITHDRAWN = "withdrawn", "withdrawn"


class AnswerWord(models.TextChoices):
    HEEDED = "heeded", "heeded"
    NOT_APPLICABLE = "not applicable", "not applicable"
    OVERRULED = "overruled", "overruled"
    TO_DO = "to do", "to do"


# What the text of each answer has to say.
SAYS: Mapping[str, str] = MappingProxyType(
    {
        AnswerWord.HEEDED: "how it was heeded, and where one can see it",
        AnswerWord.NOT_APPLICABLE: "why it does not apply",
        AnswerWord.OVERRULED: "why it is not followed, knowingly",
        AnswerWord.TO_DO: "what is to be done",
    }
)
STANDING = (LessonState.PROPOSED, LessonState.ACCEPTED)
MOVES: Mapping[str, tuple[LessonState, ...]] = MappingProxyType(
    {
        LessonState.PROPOSED: (LessonState.ACCEPTED, LessonState.SUPERSEDED, LessonState.WITHDRAWN),
        LessonState.ACCEPTED: (LessonState.SUPERSEDED, LessonState.WITHDRAWN),
        LessonState.SUPERSEDED: (),
        LessonState.WITHDRAWN: (),
    }
)

# Where a lesson is heeded at the bench or in a drawer, nothing is drawn: only firmware, if anything, changes.
_NOTHING_DRAWN = frozenset(
    {
        Moment.GOODS_IN, Moment.FIRST_POWER, Moment.FIRST_MEASUREMENT, Moment.REWORK, Moment.LENDING,
        Moment.SHELVING, Moment.REOPENING,
    }
)  # fmt: skip
_KINDS: Mapping[str, ChangeKind] = MappingProxyType(
    {
        Discipline.CIRCUIT: ChangeKind.SCHEMATIC,
        Discipline.PARTS: ChangeKind.BOM,
        Discipline.LIBRARY: ChangeKind.LAYOUT,
        Discipline.LAYOUT: ChangeKind.LAYOUT,
        Discipline.MECHANICAL: ChangeKind.MECHANICAL,
    }
)


def kind_of_change(discipline: str, moment: str) -> ChangeKind:
    """Return the kind proposed for the change a lesson becomes, by whose work it is and when it is asked."""
    if moment in _NOTHING_DRAWN:
        return ChangeKind.FIRMWARE
    return _KINDS.get(discipline, ChangeKind.FIRMWARE)
