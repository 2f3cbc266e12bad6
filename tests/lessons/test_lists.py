"""Who may read which lessons, and the list of them."""

from __future__ import annotations

import pytest
from pytest_django import DjangoAssertNumQueries

from logbook.common.errors import NotAllowedError, NotFoundError
from logbook.lessons.commands import answer_lesson, withdraw_lesson
from logbook.lessons.models import Lesson
from logbook.lessons.queries import check_may_edit, lesson_for, lessons_readable_by, next_key
from logbook.lessons.queries.lists import FILTERS, answers_to
from tests.builders import Bench
from tests.lessons.writing import write


def test_everyone_reads_a_shared_lesson(bench: Bench, lesson: Lesson) -> None:
    assert lesson_for(bench.stranger, "TRN-L1") == lesson
    assert lesson_for(bench.stranger, str(lesson.pk)) == lesson


def test_strangers_do_not_learn_of_a_lesson_kept_in_its_project(bench: Bench) -> None:
    lesson = write(bench, is_shared=False)
    assert lesson_for(bench.reader, "TRN-L1") == lesson
    for name in ("TRN-L1", str(lesson.pk), "9" * 30, "²"):
        with pytest.raises(NotFoundError):
            lesson_for(bench.stranger, name)
    assert list(lessons_readable_by(bench.stranger)) == []


@pytest.mark.parametrize(
    ("who", "able"), [("owner", True), ("editor", True), ("reader", False), ("stranger", False)]
)
def test_owners_and_editors_of_its_home_change_it(bench: Bench, lesson: Lesson, who: str, able: bool) -> None:
    if able:
        check_may_edit(getattr(bench, who), lesson)
    else:
        with pytest.raises(NotAllowedError, match="home project"):
            check_may_edit(getattr(bench, who), lesson)


@pytest.mark.parametrize(
    ("filters", "keys"),
    [
        ({}, ["TRN-L1", "GUL-L1", "TRN-L2"]),
        ({"state": "standing"}, ["TRN-L1", "GUL-L1"]),
        ({"state": "withdrawn"}, ["TRN-L2"]),
        ({"project": "gull"}, ["GUL-L1"]),
        ({"firmness": "must"}, ["TRN-L1", "TRN-L2"]),
        ({"discipline": "layout"}, ["GUL-L1"]),
        ({"moment": "ordering"}, ["GUL-L1"]),
        ({"text": "DIVIDERS"}, ["TRN-L1", "TRN-L2"]),
        ({"text": "gul-"}, ["GUL-L1"]),
    ],
    ids=str,
)
def test_the_list_is_filtered(
    bench: Bench, other: Bench, lesson: Lesson, filters: dict[str, str], keys: list[str]
) -> None:
    values = {"firmness": "should", "discipline": "layout", "moment": "ordering"}
    write(other, "GUL-L1", rule="clamp at the connector", values=values)
    withdraw_lesson(actor=bench.actor, lesson=write(bench, "TRN-L2"), note="void")
    assert set(filters) <= set(FILTERS)
    assert [row.key for row in lessons_readable_by(bench.owner, filters)] == keys


def test_the_next_key_follows_the_code_of_the_project(bench: Bench, lesson: Lesson) -> None:
    assert next_key(bench.project) == "TERN-L1"
    bench.project.code = "TRN"
    assert next_key(bench.project) == "TRN-L2"


def test_the_use_log_ends_where_the_person_belongs(bench: Bench, other: Bench, lesson: Lesson) -> None:
    for place in (bench, other):
        answer_lesson(actor=place.actor, revision=place.revision, lesson=lesson, answer="heeded", text="so")
    assert [row.revision for row in answers_to(lesson, bench.reader)] == [bench.revision]
    assert not answers_to(lesson, bench.stranger)


def test_the_list_costs_one_query(
    bench: Bench, lesson: Lesson, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(2, 8):
        write(bench, f"TRN-L{number}")
    with django_assert_num_queries(1):
        assert len({row.project.name for row in lessons_readable_by(bench.reader)}) == 1
