"""Ready to order: no High or Serious row without a decision that holds, no lapse, no unanswered must."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.core.readiness import Ground, LessonAsked, OpenRisk, gaps_of
from logbook.core.risk import Held, Hold, Level, SubjectKind

STANDS = Held(Hold.STANDS)


def risk(level: Level, held: Held | None = None, **given: Any) -> OpenRisk:
    row = {
        "subject_kind": SubjectKind.TARGET, "subject": "RLD-2", "title": "3.3 V rail", "kind": "never tried",
        "reason": "no reading anywhere", "closes": "a first reading on 1 board", "is_grave": False,
    }  # fmt: skip
    return OpenRisk(level=level, held=held, **(row | given))


@pytest.mark.parametrize(
    ("level", "held", "expected"),
    [
        (Level.HIGH, None, [Ground.UNDECIDED]),
        (Level.SERIOUS, None, [Ground.UNDECIDED]),
        (Level.MEDIUM, None, []),
        (Level.LOW, None, []),
        (Level.HIGH, STANDS, []),
        (Level.SERIOUS, Held(Hold.WAITING, "waiting for its reading"), [Ground.WAITING]),
        (Level.HIGH, Held(Hold.REOPENED, "new reading"), [Ground.REOPENED]),
        (Level.MEDIUM, Held(Hold.REOPENED, "new reading"), []),
        (Level.LOW, Held(Hold.LAPSED, "until D"), [Ground.LAPSED]),
        (Level.HIGH, Held(Hold.UNNAMED, "no change is named"), [Ground.UNNAMED]),
    ],
)
def test_what_stands_in_the_way(level: Level, held: Held | None, expected: list[Ground]) -> None:
    assert [gap.ground for gap in gaps_of([risk(level, held)], [])] == expected


@pytest.mark.parametrize(
    ("firmness", "is_answered", "count"),
    [("must", False, 1), ("must", True, 0), ("should", False, 0), ("consider", False, 0)],
)
def test_only_an_unanswered_must_stands_in_the_way(firmness: str, is_answered: bool, count: int) -> None:
    assert len(gaps_of([], [LessonAsked("SLK-L2", "Check pin-outs", firmness, is_answered)])) == count


def test_accepting_the_row_does_not_answer_the_lesson() -> None:
    row = risk(Level.HIGH, STANDS, subject_kind=SubjectKind.LESSON, subject="SLK-L2")
    (gap,) = gaps_of([row], [LessonAsked("SLK-L2", "Check pin-outs", "must", False)])
    assert (gap.ground, gap.subject) == (Ground.UNANSWERED, "SLK-L2")


def test_an_unanswered_lesson_is_named_once() -> None:
    row = risk(
        Level.HIGH,
        subject_kind=SubjectKind.LESSON,
        subject="SLK-L2",
        reason="x; not answered for this revision",
    )
    gaps = gaps_of([row], [LessonAsked("SLK-L2", "Check pin-outs", "must", False)])
    assert [gap.ground for gap in gaps] == [Ground.UNANSWERED]


def test_each_gap_says_what_why_and_what_settles_it() -> None:
    (gap,) = gaps_of([risk(Level.HIGH, is_grave=True)], [])
    assert gap.what == "High risk: RLD-2 3.3 V rail"
    assert gap.reason == "never tried: no reading anywhere"
    assert gap.settled_by == "change it or accept it by name; or a first reading on 1 board"


@pytest.mark.parametrize(("level", "count"), [(Level.HIGH, 1), (Level.SERIOUS, 1), (Level.MEDIUM, 0)])
def test_a_change_that_is_only_planned_stands_in_the_way(level: Level, count: int) -> None:
    planned = "change F-18 of D, decided for it, is only planned, not in the files"
    gaps = gaps_of([risk(level, STANDS, not_in_files=planned)], [])
    assert [(gap.ground, gap.reason) for gap in gaps] == [(Ground.NOT_IN_FILES, planned)] * count
