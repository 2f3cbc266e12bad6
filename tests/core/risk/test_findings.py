"""How likely a finding still harms the next spin."""

from __future__ import annotations

import pytest

from logbook.core.errors import RiskError
from logbook.core.risk.findings import CLOSED, FindingState, probability_of_finding

# Judgement of the design: suspected 0.3; certain until the files change; the base rate until proven.
CHANCES = [
    ("suspected", 0.3),
    ("reproduced", 1),
    ("understood", 1),
    ("decided", 1),
    ("in the files", 0.2),
    ("built", 0.2),
    ("proven", 0),
    ("not ours", 0),
    ("no fault found", 0),
    ("duplicate", 0),
    ("cannot reproduce", 0),
]


@pytest.mark.parametrize(("state", "chance"), CHANCES, ids=[state for state, _ in CHANCES])
def test_the_chance_follows_the_life(state: str, chance: float) -> None:
    assert probability_of_finding(state, 0.2).value == chance


def test_every_state_has_a_chance_and_a_basis() -> None:
    assert [state for state, _ in CHANCES] == list(FindingState)
    assert all(probability_of_finding(state, 0.5).basis for state in FindingState)


@pytest.mark.parametrize("state", sorted(CLOSED))
def test_a_closed_finding_says_how_it_was_closed(state: FindingState) -> None:
    assert probability_of_finding(state, 1).basis == f"closed: {state}"


@pytest.mark.parametrize(
    ("state", "base", "where"), [("solved", 0.2, "state"), ("built", 1.1, "base"), ("built", -0.1, "base")]
)
def test_it_refuses_what_cannot_be(state: str, base: float, where: str) -> None:
    with pytest.raises(RiskError) as refused:
        probability_of_finding(state, base)
    assert refused.value.where == where
