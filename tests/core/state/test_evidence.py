"""Evidence and facts refuse what contradicts itself."""

from __future__ import annotations

import pickle
from typing import Any

import pytest

from logbook.core.errors import EvidenceError
from logbook.core.state import CellEvidence
from tests.core.state.cells import number, seen, target


def cell(**changes: Any) -> CellEvidence:
    fields: dict[str, Any] = {
        "board": "0003",
        "point": "CH1",
        "verdict": None,
        "value": None,
        "standard_uncertainty": None,
        "undecidable": False,
        "outcome": "yes_no",
    }
    return CellEvidence(**(fields | changes))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"outcome": "maybe"}, "maybe is not"),
        ({"verdict": "good"}, "good is not"),
        ({"value": float("nan")}, "nan is not a finite number"),
        ({"standard_uncertainty": -0.1}, r"-0\.1 is not an uncertainty"),
        ({"counts": False}, "reason why none does"),
        ({"not_counted": "rework in force"}, "reason why none does"),
        ({"counts": False, "not_counted": "rework", "verdict": "pass"}, "no verdict"),
    ],
    ids=["outcome", "verdict", "value", "uncertainty", "no reason", "reason but counts", "both"],
)
def test_it_refuses_a_cell_that_contradicts_itself(changes: dict[str, Any], message: str) -> None:
    with pytest.raises(EvidenceError, match=message) as caught:
        cell(**changes)
    assert caught.value.where == "board 0003, point CH1"


def test_the_error_survives_pickling() -> None:
    with pytest.raises(EvidenceError) as caught:
        cell(outcome="maybe")
    again = pickle.loads(pickle.dumps(caught.value))
    assert (type(again), again.given, again.code) == (EvidenceError, "maybe", "bad_evidence")


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"points": ()}, "at least one point"),
        ({"points": ("CH1", "CH1")}, "each once"),
        ({"boards_needed": 0}, "1 board or more"),
    ],
    ids=["no point", "point twice", "no board"],
)
def test_it_refuses_a_target_nothing_could_verify(changes: dict[str, Any], message: str) -> None:
    with pytest.raises(EvidenceError, match=message):
        target(**changes)


def test_not_working_is_judged_as_fail_and_the_rest_as_said() -> None:
    assert seen("0001", "not working").judged_as == "fail"
    assert seen("0001", "seen working").judged_as is None
    assert number("0001", 3.3, "conditional pass").judged_as == "conditional pass"
