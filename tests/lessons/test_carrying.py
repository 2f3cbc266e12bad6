"""A check a lesson carries becomes a target."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.common.errors import ConflictError, InvalidInputError
from logbook.lessons.commands import add_target_from_lesson, store_check
from logbook.lessons.models import Lesson
from logbook.lessons.queries.lists import targets_from
from tests.builders import Bench
from tests.lessons.writing import write

RIPPLE = {"name": "3V3 ripple", "limits": "<= 30 mVpp", "minutes": 12, "severity": "S2", "method": "clip"}


@pytest.mark.parametrize(
    ("check", "kind"),
    [
        (RIPPLE, "number"),
        ({"name": "boots", "limits": "100 of 100"}, "count"),
        ({"name": "pin-outs checked by a second person", "limits": "yes"}, "yes/no"),
    ],
    ids=["number", "count", "yes or no"],
)
def test_its_own_check_becomes_a_target(bench: Bench, check: dict[str, Any], kind: str) -> None:
    lesson = write(bench, check=check)
    target = add_target_from_lesson(actor=bench.actor, lesson=lesson, subsystem=bench.subsystem)
    issue = target.issues.get()
    assert (target.key, target.name) == ("RLD-TRN-L1", check["name"])
    assert (issue.kind, issue.limits_text, issue.basis_note) == (kind, check["limits"], "from lesson TRN-L1")
    assert target.minutes == check.get("minutes", 5)
    assert targets_from(lesson, bench.reader) == [target]


def test_a_check_template_becomes_a_target_with_limits_of_ones_own(bench: Bench) -> None:
    lesson = write(bench, check={"template": "R04"})
    target = add_target_from_lesson(
        actor=bench.actor, lesson=lesson, subsystem=bench.subsystem, key="RLD-9", limits="<= 20 mVpp"
    )
    assert (target.key, target.issues.get().limits_text) == ("RLD-9", "<= 20 mVpp")
    assert "from template R04" in target.issues.get().basis_note


@pytest.mark.parametrize(
    ("check", "given", "field"),
    [
        (None, {}, "lesson"),
        (RIPPLE, {"limits": "little"}, "limits"),
        (RIPPLE, {"key": "no key"}, "key"),
        ({"template": "R04"}, {"limits": "little"}, "limits"),
    ],
    ids=["no check", "limits", "key", "limits of a template"],
)
def test_it_says_what_does_not_fit(
    bench: Bench, check: dict[str, Any] | None, given: dict[str, str], field: str
) -> None:
    lesson = write(bench, check=check)
    with pytest.raises(InvalidInputError) as caught:
        add_target_from_lesson(actor=bench.actor, lesson=lesson, subsystem=bench.subsystem, **given)
    assert [problem.field for problem in caught.value.problems] == [field]


def test_a_check_is_carried_once(bench: Bench, lesson: Lesson) -> None:
    store_check(actor=bench.actor, lesson=lesson, says=RIPPLE)
    with pytest.raises(ConflictError, match="carries a check already"):
        store_check(actor=bench.actor, lesson=lesson, says=RIPPLE)


def test_targets_elsewhere_stay_hidden_from_strangers(bench: Bench, other: Bench) -> None:
    lesson = write(bench, check=RIPPLE)
    add_target_from_lesson(actor=other.actor, lesson=lesson, subsystem=other.subsystem)
    assert targets_from(lesson, bench.owner) == []
