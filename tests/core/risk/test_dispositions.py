"""Decisions: what each must say, and until when it holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from logbook.core.risk import Decided, Decision, Hold, carries_over, decision_problems, holds

TODAY = date(2024, 6, 20)
FACTS = {"kind": "failing", "level": "Medium", "reading of A on 1": "fail"}
ACCEPTED = Decided(
    Decision.ACCEPT, "C", "iv", "runs cool", expires_on=date(2024, 12, 31), expires_with="E", facts=FACTS
)
DEFERRED = Decided(Decision.DEFER, "C", reopens_with="E", facts=FACTS)
CHANGED = Decided(Decision.CHANGE, "C", facts=FACTS, change="F-18 of C")
TESTED = Decided(Decision.TEST_FIRST, "C", facts={"kind": "never tried", "level": "High"})


def problems(decided: Decided, *, is_grave: bool = False) -> dict[str, str]:
    return decision_problems(decided, is_grave=is_grave, line=["C", "B"], today=TODAY)


def held(decided: Decided, now: dict[str, str] | None = None, **settings: Any) -> tuple[Hold, str]:
    told: dict[str, Any] = {"is_grave": False, "line": ["C", "B"], "day": TODAY} | settings
    found = holds(decided, FACTS if now is None else now, **told)
    return found.hold, found.because


@pytest.mark.parametrize(
    ("changed", "missing"),
    [
        ({}, set()),
        ({"owner": ""}, {"owner"}),
        ({"reason": ""}, {"reason"}),
        ({"expires_on": None}, set()),
        ({"expires_with": ""}, set()),
        ({"expires_on": None, "expires_with": ""}, {"expires_on"}),
        ({"expires_on": date(2024, 6, 19)}, {"expires_on"}),
        ({"expires_on": TODAY}, set()),
        ({"expires_with": "B"}, {"expires_with"}),
    ],
    ids=["whole", "owner", "reason", "revision only", "day only", "no end", "over", "today", "ancestor"],
)
def test_an_acceptance_needs_owner_reason_and_an_end_to_come(
    changed: dict[str, Any], missing: set[str]
) -> None:
    assert set(problems(replace(ACCEPTED, **changed))) == missing


@pytest.mark.parametrize(
    ("label", "missing"), [("E", set()), ("", {"reopens_with"}), ("C", {"reopens_with"})]
)
def test_a_deferral_needs_a_later_revision(label: str, missing: set[str]) -> None:
    assert set(problems(replace(DEFERRED, reopens_with=label))) == missing


@pytest.mark.parametrize("decided", [ACCEPTED, CHANGED, TESTED], ids=lambda one: one.decision)
def test_what_can_damage_takes_anything_but_a_deferral(decided: Decided) -> None:
    assert problems(decided, is_grave=True) == {}
    assert set(problems(DEFERRED, is_grave=True)) == {"decision"}


@pytest.mark.parametrize("decided", [ACCEPTED, DEFERRED, CHANGED], ids=lambda one: one.decision)
def test_it_stands_while_the_facts_are_the_same(decided: Decided) -> None:
    assert held(decided) == (Hold.STANDS, "")


@pytest.mark.parametrize("decided", [ACCEPTED, DEFERRED, CHANGED], ids=lambda one: one.decision)
def test_it_is_open_again_when_a_fact_differs_and_names_it(decided: Decided) -> None:
    assert held(decided, FACTS | {"reading of A on 2": "fail"}) == (
        Hold.REOPENED,
        "new reading of A on 2: fail",
    )


@pytest.mark.parametrize(
    ("day", "line", "hold"),
    [
        (date(2024, 12, 31), ["C"], Hold.STANDS),
        (date(2025, 1, 1), ["C"], Hold.LAPSED),
        (TODAY, ["D", "C"], Hold.STANDS),
        (TODAY, ["E", "D", "C"], Hold.LAPSED),
        (TODAY, ["F", "E", "D", "C"], Hold.LAPSED),
    ],
    ids=["last day", "day after", "before it", "its revision", "a descendant"],
)
def test_an_acceptance_lapses_by_day_or_revision_and_descendants(
    day: date, line: list[str], hold: Hold
) -> None:
    assert held(ACCEPTED, day=day, line=line)[0] is hold


def test_a_deferral_comes_back_with_its_revision() -> None:
    assert held(DEFERRED, line=["E", "C"]) == (
        Hold.REOPENED,
        "deferred on C until revision E, which is here",
    )


def test_a_deferred_row_that_turns_dangerous_is_open_again() -> None:
    assert held(DEFERRED, is_grave=True)[0] is Hold.REOPENED


NEW = {"kind": "partly verified", "level": "High", "reading of A on 1": "pass"}


@pytest.mark.parametrize(
    ("now", "is_grave", "hold"),
    [
        (dict(TESTED.facts), False, Hold.WAITING),
        ({**TESTED.facts, "level": "Serious"}, False, Hold.WAITING),
        (NEW, False, Hold.STANDS),
        (NEW, True, Hold.REOPENED),
        (NEW | {"kind": "failing", "reading of A on 1": "fail"}, False, Hold.REOPENED),
        (NEW | {"kind": "marginal"}, False, Hold.REOPENED),
    ],
    ids=["nothing new", "level only", "passes", "passes, can damage", "fails", "marginal"],
)
def test_test_first_waits_for_its_reading(now: dict[str, str], is_grave: bool, hold: Hold) -> None:
    assert held(TESTED, now, is_grave=is_grave)[0] is hold


def test_only_acceptances_and_deferrals_count_on_descendants() -> None:
    assert [one for one in Decision if carries_over(one)] == [Decision.ACCEPT, Decision.DEFER]


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({"change": ""}, (Hold.UNNAMED, "decided to change it, but no change is named")),
        ({"change_withdrawn": True}, (Hold.REOPENED, "change F-18 of C was withdrawn")),
    ],
    ids=["none named", "withdrawn"],
)
def test_a_change_holds_only_with_a_standing_change(
    changed: dict[str, Any], expected: tuple[Hold, str]
) -> None:
    assert held(replace(CHANGED, **changed)) == expected
