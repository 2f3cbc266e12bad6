"""Rows of findings, reworks, options, lessons and lapsed acceptances."""

from __future__ import annotations

import pytest

from logbook.core.errors import RiskError
from logbook.core.risk import (
    BaseRate,
    FindingFacts,
    Harm,
    LessonFacts,
    Level,
    Probability,
    Risk,
    RiskKind,
    Severity,
    Stakes,
    Subject,
    SubjectKind,
    risk_of_finding,
    risk_of_lapsed,
    risk_of_lesson,
    risk_of_option,
    risk_of_rework,
    risk_row,
)
from logbook.core.risk.findings import FindingState

S = FindingState


def finding(state: FindingState, *targets: Risk, severity: Severity = Severity.S3) -> Risk | None:
    return risk_of_finding(FindingFacts("F-1", "too warm", state), Stakes(severity), targets)


def row(key: str, chance: float, severity: Severity, fan_out: int = 0) -> Risk:
    stakes = Stakes(severity, fan_out=fan_out)
    subject = Subject(SubjectKind.TARGET, key)
    return risk_row(RiskKind.FAILING, subject, "why", Probability(chance, "basis"), stakes, "closes")


@pytest.mark.parametrize(
    ("state", "chance", "level"),
    [
        (S.SUSPECTED, 0.3, Level.SERIOUS),
        (S.REPRODUCED, 1.0, Level.SERIOUS),
        (S.DECIDED, 1.0, Level.SERIOUS),
        (S.IN_THE_FILES, 0.25, Level.SERIOUS),
        (S.BUILT, 0.25, Level.SERIOUS),
    ],
)
def test_an_open_finding_is_a_row(state: FindingState, chance: float, level: Level) -> None:
    """Rows A and B of MIL-STD-882E (2012), Table III, column 3 (marginal): Serious."""
    found = finding(state)
    assert found is not None
    assert (found.kind, found.subject_kind, found.subject) == ("open finding", "finding", "F-1")
    assert (found.probability, found.level) == (chance, level)


@pytest.mark.parametrize(
    "state", [S.PROVEN, S.NOT_OURS, S.NO_FAULT_FOUND, S.DUPLICATE, S.CANNOT_REPRODUCE], ids=str
)
def test_a_finding_that_is_done_is_no_row(state: FindingState) -> None:
    assert finding(state, row("T", 1.0, Severity.S1)) is None


def test_harm_of_a_finding_counts_beside_its_severity() -> None:
    """P = 1 is row A of Table A-II; critical: High (MIL-STD-882E, Table III)."""
    facts = FindingFacts("F-1", "edge is sharp", S.REPRODUCED)
    found = risk_of_finding(facts, Stakes(Severity.S5, Harm.CRITICAL))
    assert found is not None
    assert (found.function_level, found.harm_level, found.level) == (Level.MEDIUM, Level.HIGH, Level.HIGH)


def test_a_finding_and_its_targets_are_one_row_at_the_worst_level() -> None:
    worse = row("RLA-7", 0.9, Severity.S1, fan_out=4)
    found = finding(S.SUSPECTED, worse, row("RLA-1", 0.01, Severity.S4), severity=Severity.S4)
    assert found is not None
    assert (found.level, found.probability, found.severity) == (Level.HIGH, 0.9, Severity.S1)
    assert (found.fan_out, found.weight) == (4, worse.weight)
    assert found.reason == "too warm; suspected; its targets RLA-1 is failing, RLA-7 is failing"
    assert found.probability_basis == "RLA-7: basis"


def test_a_rework_not_folded_in_is_certain() -> None:
    found = risk_of_rework("RW-05 of 0004", "C11 to 10 pF", Stakes(Severity.S2))
    assert (found.probability, found.level, found.kind) == (1.0, Level.HIGH, "rework not folded in")


def test_an_open_option_has_the_base_rate() -> None:
    """(1 + 1) / (4 + 6) = 0.2: row B, S3: Serious."""
    found = risk_of_option("JP1", "supply pin", Stakes(Severity.S3, base=BaseRate(1, 6)))
    assert (found.probability, found.level, found.kind) == (0.2, Level.SERIOUS, "option left open")


@pytest.mark.parametrize(
    ("strength", "chance", "severity", "level"),
    [
        ("must", 0.25, Severity.S2, Level.HIGH),
        ("should", 0.1, Severity.S3, Level.SERIOUS),
        ("consider", 0.05, Severity.S4, Level.LOW),
    ],
)
def test_an_unanswered_lesson_weighs_by_its_strength(
    strength: str, chance: float, severity: Severity, level: Level
) -> None:
    """The chances are judgement; the levels are rows B, B and C of MIL-STD-882E, Table III."""
    found = risk_of_lesson(LessonFacts("L1", "clamp field cables", strength))
    assert (found.probability, found.severity, found.level) == (chance, severity, level)


def test_a_lesson_knowingly_not_followed_says_why() -> None:
    found = risk_of_lesson(
        LessonFacts("L1", "clamp field cables", "should", "overruled: no cable leaves the case")
    )
    assert found.reason == "clamp field cables; overruled: no cable leaves the case"


def test_it_refuses_an_unknown_strength() -> None:
    with pytest.raises(RiskError) as refused:
        risk_of_lesson(LessonFacts("L1", "rule", "shall"))
    assert (refused.value.where, refused.value.allowed) == ("strength", "must, should, consider")


def test_a_lapsed_acceptance_is_weighed_as_it_stands_now() -> None:
    subject = Subject(SubjectKind.TARGET, "RLD-2")
    found = risk_of_lapsed(subject, "accepted until D", Probability(0.01, "b"), Stakes(Severity.S2))
    assert (found.kind, found.level) == ("acceptance lapsed", Level.MEDIUM)


@pytest.mark.parametrize(
    ("severity", "harm", "chance", "is_grave"),
    [
        (Severity.S1, None, 0.0, True),
        (Severity.S2, None, 1.0, False),
        (Severity.S5, Harm.NEGLIGIBLE, 0.005, False),
        (Severity.S5, Harm.NEGLIGIBLE, 0.5, True),
    ],
    ids=["S1", "S2", "harm Low", "harm Medium"],
)
def test_damage_or_harm_above_low_is_grave(
    severity: Severity, harm: Harm | None, chance: float, is_grave: bool
) -> None:
    """Negligible harm: row C is Low, row A Medium (MIL-STD-882E, Tables III and A-II)."""
    subject = Subject(SubjectKind.TARGET, "T")
    found = risk_row(RiskKind.FAILING, subject, "", Probability(chance, ""), Stakes(severity, harm), "")
    assert found.is_grave is is_grave
