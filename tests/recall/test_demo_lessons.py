"""The lessons of the invented demo cross between its two projects, both ways."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from logbook.accounts.models import User
from logbook.lessons.models import Lesson
from logbook.lessons.queries import learned_since, lessons_for, lessons_readable_by, unanswered_lessons
from logbook.projects.models import Revision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]
SALTLARK = [f"SLK-L{number}" for number in range(1, 5)]
HERONBAR = [f"HRB-L{number}" for number in range(1, 7)]
GO_NO_GO = datetime(2024, 8, 30, 21, tzinfo=UTC)


def revision(label: str) -> Revision:
    return Revision.objects.select_related("project").get(label=label)


def test_all_ten_stand_and_are_shared(demo: None) -> None:
    found = lessons_readable_by(User.objects.get(username="iv"), {"state": "standing"})
    assert sorted(row.key for row in found) == sorted(SALTLARK + HERONBAR)
    assert not Lesson.objects.filter(shared_at__isnull=True).exists()


def test_heronbar_heeded_what_saltlark_learned(demo: None) -> None:
    answers = {row.key: row.answer for row in lessons_for(revision("HB-01")) if row.key in SALTLARK}
    assert answers == dict.fromkeys(SALTLARK, "heeded")


def test_what_heronbar_learned_is_answered_on_revision_c(demo: None) -> None:
    answers = {row.key: row.answer for row in lessons_for(revision("C"))}
    assert {key: answers[key] for key in HERONBAR} == {
        "HRB-L1": "overruled",
        "HRB-L2": "heeded",
        "HRB-L3": "heeded",
        "HRB-L4": "heeded",
        "HRB-L5": "unanswered",
        "HRB-L6": "not applicable",
    }


def test_the_clamps_come_with_revision_d(demo: None) -> None:
    (clamps,) = [row for row in lessons_for(revision("D")) if row.key == "HRB-L1"]
    assert clamps.answered is not None
    assert (clamps.answer, "J7-CLAMP" in clamps.answered.text) == ("heeded", True)


def test_every_must_was_answered_when_c_was_ordered(demo: None) -> None:
    assert [row.key for row in unanswered_lessons(revision("C"), until=GO_NO_GO)] == ["HRB-L5"]


def test_nothing_was_there_to_be_asked_when_a_was_drawn(demo: None) -> None:
    assert lessons_for(revision("A"), until=datetime(2020, 9, 7, tzinfo=UTC)) == ()


def test_todays_eyes_on_revision_b_see_what_was_learned_since(demo: None) -> None:
    newer = learned_since(revision("B"), lessons_for(revision("B")))
    assert sorted(row.key for row in newer) == sorted(["SLK-L3", "SLK-L4", *HERONBAR])


def test_the_answer_that_counts_is_the_newest(demo: None) -> None:
    margin = Lesson.objects.get(key="SLK-L4")
    said = margin.answers.filter(revision__label="HB-01").order_by("id").values_list("answer", flat=True)
    assert list(said) == ["to do", "heeded"]
