"""Fingerprints: they differ exactly when a fact does, and each difference is named."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.risk import (
    LessonFacts,
    differences,
    fingerprint,
    has_new_reading,
    risk_of_lesson,
)

ROW = risk_of_lesson(LessonFacts("L1", "rule", "must"))
BEFORE = {"kind": "never tried", "level": "High", "issue of RLD-2": "1"}


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (
            {"kind": "failing", "reading of RLD-2 on 0006": "fail"},
            ("new reading of RLD-2 on 0006: fail", "was never tried, now failing"),
        ),
        ({"level": "Serious"}, ("level was High, now Serious",)),
        ({"issue of RLD-2": "2"}, ("issue of RLD-2 was 1, now 2",)),
        ({"change F-07 of C": "touches it"}, ("change F-07 of C now touches it",)),
        ({"finding": "decided"}, ("finding was none, now decided",)),
    ],
    ids=["reading", "level", "issue", "change", "finding"],
)
def test_a_difference_is_named(now: dict[str, str], said: tuple[str, ...]) -> None:
    assert differences(BEFORE, BEFORE | now) == said


def test_a_reading_that_turned_or_no_longer_counts_is_named() -> None:
    reading = {"reading of A on 1 CH1": "pass"}
    assert differences(reading, {"reading of A on 1 CH1": "fail"}) == (
        "reading of A on 1 CH1: fail, was pass",
    )
    assert differences(reading, {}) == ("reading of A on 1 CH1 no longer counts, was pass",)


words = st.sampled_from(["pass", "fail", "stale", "2"])
facts = st.dictionaries(
    st.sampled_from(["kind", "level", "finding", "issue of A", "reading of A on 1", "change X of B", "odd"]),
    words,
)


@given(facts, facts)
def test_it_differs_exactly_when_a_fact_does(before: dict[str, str], now: dict[str, str]) -> None:
    changed = {name for name in before.keys() | now.keys() if before.get(name) != now.get(name)}
    assert len(differences(before, now)) == len(changed)


@given(facts, facts)
def test_only_a_reading_that_is_new_or_turned_is_a_new_one(
    before: dict[str, str], now: dict[str, str]
) -> None:
    name = "reading of A on 1"
    assert has_new_reading(before, now) is (name in now and now[name] != before.get(name))


def test_it_holds_every_fact_in_order() -> None:
    made = fingerprint(
        ROW, issues={"A": 2}, readings=[("A", "0006", "CH1", "fail")], changes=["F of C"], finding="built"
    )
    assert list(made.items()) == [
        ("change F of C", "touches it"),
        ("finding", "built"),
        ("issue of A", "2"),
        ("kind", "lesson not answered"),
        ("level", "High"),
        ("reading of A on 0006 CH1", "fail"),
    ]
