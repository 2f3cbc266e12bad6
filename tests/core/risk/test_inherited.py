"""Chances that rest on an ancestor's readings: mixed by weight, or as they were."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.risk import (
    BaseRate,
    RiskKind,
    Severity,
    Stakes,
    base_probability,
    probability_of_failure,
    risk_of_target,
)
from logbook.core.state import CellEvidence, Change, Heritage, StateOfTarget, Step, states_of_targets
from tests.core.state.cells import number, seen, target

NEEDS = {"MEM": ["MCU"], "MCU": ["RLD"], "RLD": []}
BASE = BaseRate(2, 16)


def inherited(subsystem: str, touched: str, *cells: CellEvidence, boards_needed: int = 1) -> StateOfTarget:
    """State on B of a target read on A only, where B touches one subsystem, or none for an empty key."""
    facts = target(subsystem=subsystem, boards_needed=boards_needed)
    change = Change("X", frozenset({touched} - {""}))
    line = Heritage((Step("B", "A", (change,), {facts.key: cells}),), NEEDS)
    return states_of_targets([facts], {}, heritage=line)[facts.key]


@pytest.mark.parametrize(
    ("subsystem", "weight"), [("RLD", 0.0), ("MCU", 0.5), ("MEM", 0.8)], ids=["itself", "one step", "two"]
)
@given(value=st.floats(3.24, 3.36))
def test_stale_mixes_old_readings_with_the_base_rate(subsystem: str, weight: float, value: float) -> None:
    """w P(old) + (1 - w) P_base, with P_base = (1 + 2)/(4 + 16)."""
    state = inherited(subsystem, "RLD", number("0001", value))
    assert state.inherited is not None
    old = probability_of_failure(state.inherited.state, target(), BASE).value
    found = probability_of_failure(state, target(), BASE).value
    assert found == pytest.approx(weight * old + (1 - weight) * 3 / 20)
    assert min(old, 3 / 20) - 1e-12 <= found <= max(old, 3 / 20) + 1e-12


def test_a_planned_fix_has_the_base_rate_until_a_reading_proves_it() -> None:
    state = inherited("RLD", "RLD", number("0001", 3.181, "fail"))
    found = probability_of_failure(state, target(), BASE)
    assert found.value == base_probability(*BASE)
    assert "base rate" in found.basis


def test_a_failure_nobody_touched_is_as_likely_as_it_was() -> None:
    """One of one board failing: at least (1 + 0.15)/(1 + 1)."""
    state = inherited("RLD", "", number("0001", 3.181, "fail"))
    found = probability_of_failure(state, target(), BASE)
    assert found.value >= (1 + 0.15) / 2
    assert found.basis.startswith("as on A: ")


@pytest.mark.parametrize(
    ("cells", "boards_needed", "kinds"),
    [
        ([number("0001", 3.3)], 1, []),
        ([number("0001", 3.3)], 2, [RiskKind.PARTLY_VERIFIED]),
        ([number("0001", 3.365, "conditional pass")], 1, [RiskKind.MARGINAL]),
        ([seen("0001", "seen working")], 1, [RiskKind.SEEN_WORKING]),
    ],
    ids=["verified", "partly verified", "marginal", "seen working"],
)
def test_carried_over_leaves_open_what_the_ancestor_left_open(
    cells: list[CellEvidence], boards_needed: int, kinds: list[RiskKind]
) -> None:
    state = inherited("RLD", "", *cells, boards_needed=boards_needed)
    facts = target(boards_needed=boards_needed)
    assert state.state == "carried over"
    assert [row.kind for row in risk_of_target(state, facts, Stakes(Severity.S2))] == kinds


@pytest.mark.parametrize(
    ("touched", "kind"), [("RLD", RiskKind.STALE), ("", RiskKind.FAILING)], ids=["touched", "untouched"]
)
def test_an_old_failure_stays_a_row(touched: str, kind: RiskKind) -> None:
    state = inherited("RLD", touched, number("0001", 3.181, "fail"))
    assert [row.kind for row in risk_of_target(state, target(), Stakes(Severity.S2))] == [kind]
