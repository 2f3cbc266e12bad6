"""The open-risk list: which rows, at which level, in which order, and what would close them."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import RiskError
from logbook.core.risk import (
    HOURS_SAVED,
    Harm,
    Level,
    ProbabilityBands,
    Risk,
    RiskKind,
    Severity,
    risks_of_targets,
)
from logbook.core.state import CellEvidence, TargetFacts, states_of_targets
from tests.core.state.cells import number, seen, target, uncounted


def risks(facts: list[TargetFacts], evidence: dict[str, list[CellEvidence]], **settings: Any) -> list[Risk]:
    states = states_of_targets(facts, evidence)
    severities = settings.pop("severities", {one.key: Severity.S2 for one in facts})
    return risks_of_targets(states, facts, severities, **settings)


def only(facts: TargetFacts, *cells: CellEvidence, **settings: Any) -> Risk:
    (row,) = risks([facts], {facts.key: list(cells)}, **settings)
    return row


@pytest.mark.parametrize(
    ("cells", "kind"),
    [
        ([number("A", 3.1, "fail")], RiskKind.FAILING),
        ([number("A", 3.365, "conditional pass")], RiskKind.MARGINAL),
        ([number("A", 3.3, undecidable=True)], RiskKind.UNDECIDABLE),
        ([number("A", 3.365, "conditional pass", undecidable=True)], RiskKind.UNDECIDABLE),
        ([seen("A", "seen working")], RiskKind.SEEN_WORKING),
        ([uncounted("A")], RiskKind.STALE),
        ([number("A", 3.3)], RiskKind.PARTLY_VERIFIED),
        ([], RiskKind.NEVER_TRIED),
    ],
    ids=lambda value: str(value) if isinstance(value, RiskKind) else "",
)
def test_an_open_state_makes_one_row_of_its_kind(cells: list[CellEvidence], kind: RiskKind) -> None:
    assert only(target(boards_needed=2), *cells).kind == kind


@pytest.mark.parametrize(
    ("facts", "cells"),
    [(target(), [number("A", 3.3)]), (target(option_not_fitted="BT1"), [])],
    ids=["verified", "not applicable"],
)
def test_a_settled_state_makes_no_row(facts: TargetFacts, cells: list[CellEvidence]) -> None:
    assert risks([facts], {facts.key: cells}) == []


def test_a_row_carries_all_it_was_derived_from() -> None:
    chain = [target("M1", prerequisites=("R",)), target("R")]
    rows = risks(chain, {}, severities={"M1": Severity.S3, "R": Severity.S1}, bases={"R": (1, 6)})
    first, second = rows
    assert (first.subject, first.kind, first.fan_out, first.probability) == ("R", "never tried", 1, 0.2)
    assert first.weight == pytest.approx(0.2 * 80 * 2)
    assert first.reason == "no reading on any board of this revision"
    assert first.closes == "a first reading on 1 board"
    assert (second.subject, second.kind, second.fan_out, second.weight) == ("M1", "blocked", 0, 0.25 * 8)
    assert second.closes == "needs R, which is never tried: settle that, then read this on 1 board"


def test_the_worse_of_function_and_harm_decides_the_level() -> None:
    row = only(
        target(), severities={"RLD-2": Severity.S5}, harms={"RLD-2": Harm.CRITICAL}, bases={"RLD-2": (0, 96)}
    )
    # P = 1/100: row D of the function bands, border of row B of the harm bands.
    assert (row.function_level, row.harm_level, row.level) == (Level.LOW, Level.HIGH, Level.HIGH)


def test_without_harm_there_is_no_harm_level() -> None:
    row = only(target(), harms={"RLD-2": None})
    assert (row.harm, row.harm_level, row.level) == (None, None, row.function_level)


def test_the_function_bands_are_adjustable() -> None:
    strict = ProbabilityBands(0.25, 0.1, 0.02, 0.001)
    severities = {"RLD-2": Severity.S3}
    assert only(target(), severities=severities).level == Level.SERIOUS
    bands = ProbabilityBands(0.9, 0.8, 0.7, 0.6)
    assert only(target(), severities=severities, function_bands=bands).level == Level.MEDIUM
    assert only(target(), severities=severities, function_bands=strict).level == Level.SERIOUS


def test_hours_and_fan_out_of_the_project_are_used() -> None:
    hours = {**HOURS_SAVED, Severity.S2: 10.0}
    assert only(target(), hours=hours, fan_out={"RLD-2": 11}).weight == pytest.approx(0.25 * 10 * 12)


def test_readings_of_an_overdue_instrument_open_a_row_even_when_they_pass() -> None:
    overdue = {"RLD-2": [("DMM-1", date(2021, 3, 16))]}
    (row,) = risks([target()], {"RLD-2": [number("A", 3.3)]}, out_of_calibration=overdue)
    assert row.kind == "instrument out of calibration"
    assert row.reason == "read with DMM-1 (calibration ran out on 2021-03-16)"
    assert row.closes == "calibrate DMM-1 and find it in limits, or read again with another"
    assert row.probability == 0.25


def test_a_failing_target_read_with_an_overdue_instrument_has_two_rows() -> None:
    overdue = {"RLD-2": [("DMM-1", date(2021, 3, 16))]}
    rows = risks([target()], {"RLD-2": [number("A", 3.1, "fail")]}, out_of_calibration=overdue)
    assert {row.kind for row in rows} == {"failing", "instrument out of calibration"}


@pytest.mark.parametrize(
    ("facts", "cells", "text"),
    [
        (target(boards_needed=3), [number("A", 3.3)], "a pass on 2 more boards"),
        (
            target(points=("CH1", "CH2", "CH3")),
            [number("A", 3.3, point="CH2")],
            "read CH1, CH3 on A",
        ),
        (
            target(points=("CH1", "CH2"), boards_needed=2),
            [number("A", 3.3, point="CH2")],
            "read CH1 on A; a pass on 1 more board",
        ),
        (
            target(),
            [number("A", 3.1, "fail")],
            "fix the cause, then a pass on an unmodified board of the next revision",
        ),
        (
            target(),
            [number("A", 3.365, "conditional pass")],
            "move the design away from its limit, or read it again with a smaller uncertainty",
        ),
        (
            target(),
            [number("A", 3.3, undecidable=True)],
            "read it again with a smaller uncertainty, or widen the limits",
        ),
        (target(boards_needed=2), [seen("A", "seen working")], "a reading with a verdict on 2 boards"),
        (
            target(kind="seen working"),
            [seen("A", "seen working")],
            "no reading can pass it: issue it anew with limits or as yes or no",
        ),
        (target(), [uncounted("A")], "a reading that counts as designed on 1 board"),
    ],
    ids=[
        "boards",
        "points",
        "both",
        "failing",
        "marginal",
        "undecidable",
        "seen working",
        "of that kind",
        "stale",
    ],
)
def test_each_row_says_what_would_close_it(facts: TargetFacts, cells: list[CellEvidence], text: str) -> None:
    assert only(facts, *cells).closes == text


cell_choices = st.sampled_from(
    [[], [number("A", 3.1, "fail")], [number("A", 3.36)], [seen("A", "yes_no", "pass")], [uncounted("A")]]
)


@given(st.lists(st.tuples(cell_choices, st.sampled_from(list(Severity))), max_size=8))
def test_rows_are_ordered_by_level_then_weight_then_key(drawn: list[tuple[Any, Severity]]) -> None:
    facts = [target(f"T{i}", boards_needed=2) for i in range(len(drawn))]
    rows = risks(
        facts,
        {one.key: cells for one, (cells, _) in zip(facts, drawn, strict=True)},
        severities={one.key: severity for one, (_, severity) in zip(facts, drawn, strict=True)},
    )
    assert len(rows) == len(facts)
    keys = [(list(Level).index(row.level), -row.weight, row.subject) for row in rows]
    assert keys == sorted(keys)


def test_a_large_project_is_listed_from_end_to_end() -> None:
    facts = [target(f"T{i:03}", prerequisites=(f"T{i - 1:03}",) if i else ()) for i in range(300)]
    rows = risks(facts, {"T000": [number(f"{b}", 3.1, "fail") for b in range(20)]})
    assert (len(rows), rows[0].subject, rows[0].fan_out) == (300, "T000", 299)


def test_it_refuses_a_target_without_a_severity() -> None:
    with pytest.raises(RiskError, match="RLD-2 has no state or no severity"):
        risks([target()], {}, severities={})
