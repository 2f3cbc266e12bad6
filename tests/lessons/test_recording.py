"""Recording lessons, changing what is told of them, and sharing them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from logbook.common.errors import ConflictError, InvalidInputError
from logbook.common.models import ChangeRecord
from logbook.findings.commands import record_finding
from logbook.lessons.commands import change_lesson
from logbook.lessons.models import Lesson
from logbook.lessons.queries.lists import state_of
from tests.builders import Bench
from tests.lessons.writing import write

TOMORROW = timezone.localdate() + timedelta(days=1)


def test_it_is_accepted_shared_and_learned_today_where_nothing_else_is_said(lesson: Lesson) -> None:
    assert state_of(lesson) == "accepted"
    assert lesson.shared_at is not None
    assert lesson.learned_on == timezone.localdate()
    assert list(ChangeRecord.objects.filter(kind="lesson").values_list("action", "title")) == [
        ("added", "TRN-L1")
    ]


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"values": {"subsystem_kinds": []}}, "characteristics"),
        ({"values": {"subsystem_kinds": ["plumbing"]}}, "subsystem_kinds"),
        ({"values": {"characteristics": ["Long cable"]}}, "characteristics"),
        ({"values": {"learned_on": TOMORROW}}, "learned_on"),
        ({"values": {"firmness": "perhaps"}}, "firmness"),
        ({"values": {"shared_at": None}}, "shared_at"),
        ({"state": "withdrawn"}, "state"),
        ({"key": "17"}, "key"),
        ({"rule": ""}, "rule"),
        ({"check": {"template": "Z99"}}, "check.template"),
        ({"check": {"limits": "1 V"}}, "check.name"),
        ({"check": {"name": "ripple", "limits": "as low as can be"}}, "check.limits"),
    ],
    ids=lambda given: str(given)[:40],
)
def test_it_refuses_what_makes_no_lesson(bench: Bench, given: dict[str, Any], field: str) -> None:
    with pytest.raises(InvalidInputError) as caught:
        write(bench, **given)
    assert [problem.field for problem in caught.value.problems] == [field]
    assert not Lesson.objects.exists()


def test_a_key_is_taken_once_on_the_whole_site(lesson: Lesson, other: Bench) -> None:
    with pytest.raises(InvalidInputError, match="key"):
        write(other)


def test_a_finding_of_another_project_is_refused(bench: Bench, other: Bench) -> None:
    finding = record_finding(
        actor=other.actor, project=other.project, key="F-01", title="hum", subsystem=other.subsystem
    )
    with pytest.raises(InvalidInputError, match="another project"):
        write(bench, values={"finding": finding})


def test_what_an_accepted_lesson_asks_stays(bench: Bench, lesson: Lesson) -> None:
    with pytest.raises(ConflictError, match="its firmness stay; record a new lesson"):
        change_lesson(actor=bench.actor, lesson=lesson, values={"firmness": "consider"})
    change_lesson(actor=bench.actor, lesson=lesson, values={"cost": "one spin", "firmness": "must"})
    lesson.refresh_from_db()
    assert (lesson.cost, lesson.firmness) == ("one spin", "must")


def test_a_proposed_lesson_may_still_change_its_question(bench: Bench) -> None:
    lesson = write(bench, state="proposed")
    change_lesson(actor=bench.actor, lesson=lesson, values={"firmness": "should", "always": True})
    assert Lesson.objects.get(always=True).firmness == "should"


def test_sharing_goes_one_way(bench: Bench) -> None:
    lesson = write(bench, is_shared=False)
    change_lesson(actor=bench.actor, lesson=lesson, values={}, is_shared=True)
    assert Lesson.objects.get().shared_at is not None
    with pytest.raises(ConflictError, match="may have been read"):
        change_lesson(actor=bench.actor, lesson=lesson, values={}, is_shared=False)


def test_a_superseded_lesson_is_not_shared_for_it_names_its_successor(bench: Bench) -> None:
    old = write(bench, is_shared=False)
    write(bench, "TRN-L2", is_shared=False, replaces=[old])
    with pytest.raises(ConflictError, match="share the lesson that replaces it"):
        change_lesson(actor=bench.actor, lesson=old, values={}, is_shared=True)
