"""A board's verdict is the worst of its points."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import EvidenceError
from logbook.core.state import CellEvidence
from logbook.core.state.boards import board_results, point_results, tally_cells, worst_board
from logbook.core.verdict import Verdict
from tests.core.state.cells import number, seen, target, uncounted

POINTS = ("CH1", "CH2", "CH3")
WORST_FIRST = ["fail", "conditional fail", "conditional pass", "pass"]


@given(st.lists(st.sampled_from([*WORST_FIRST, None]), min_size=3, max_size=3))
def test_a_board_shows_its_worst_point_and_what_is_missing(verdicts: list[str | None]) -> None:
    facts = target(points=POINTS)
    read = [(point, word) for point, word in zip(POINTS, verdicts, strict=True) if word]
    tally = tally_cells(facts, [seen("0003", "yes_no", word, point) for point, word in read])
    results = board_results(facts, tally)
    if not read:
        assert results == ()
        return
    worst = min((word for _, word in read), key=WORST_FIRST.index)
    partly = worst == "pass" and len(read) < len(POINTS)
    missing = tuple(point for point in POINTS if point not in dict(read))
    assert results == (("0003", "partly verified" if partly else worst, missing),)


def test_the_order_of_verdicts_is_that_of_the_verdict_itself() -> None:
    assert sorted(WORST_FIRST, key=lambda word: Verdict(word).rank) == WORST_FIRST


@pytest.mark.parametrize(
    ("cell", "shown"),
    [
        (seen("0001", "seen working", point="CH1"), "seen working"),
        (seen("0001", "inconclusive", point="CH1"), "inconclusive"),
        (uncounted("0001", point="CH1"), "not counted"),
        (number("0001", 3.3, point="CH9"), "not counted"),
    ],
    ids=["seen working", "inconclusive", "does not count", "no point of the target"],
)
def test_a_board_without_a_verdict_says_what_it_has(cell: CellEvidence, shown: str) -> None:
    facts = target(points=("CH1",))
    results = board_results(facts, tally_cells(facts, [cell]))
    assert results == (("0001", shown, ("CH1",)),)


def test_every_point_is_listed_with_its_readings() -> None:
    facts = target(points=("9 V", "16 V"))
    cells = [
        number("0003", 3.31, point="9 V", standard_uncertainty=0.0005),
        seen("0004", "yes_no", "pass", "9 V"),
    ]
    first, second = point_results(facts, tally_cells(facts, cells))
    assert first.readings == (("0003", "pass", 3.31, 0.0005), ("0004", "pass", None, 0.0))
    assert [reading.board for reading in first.numbers] == ["0003"]
    assert (second.point, second.readings) == ("16 V", ())


@pytest.mark.parametrize(
    ("readings", "board"),
    [
        ([("A", 3.30, "pass"), ("B", 3.36, "pass")], "B"),
        ([("A", 3.37, "conditional fail"), ("B", 3.40, "fail")], "B"),
        ([("A", 3.18, "fail"), ("B", 3.40, "fail")], "A"),
    ],
    ids=["nearest to a limit", "worst verdict", "furthest out"],
)
def test_the_worst_board_has_the_worst_verdict_and_least_margin(
    readings: list[tuple[str, float, str]], board: str
) -> None:
    facts = target()
    assert worst_board(facts, tally_cells(facts, [number(*reading) for reading in readings])) == board


def test_without_a_verdict_there_is_no_worst_board() -> None:
    facts = target()
    assert worst_board(facts, tally_cells(facts, [seen("0001", "seen working")])) is None


def test_it_refuses_two_current_results_in_one_cell() -> None:
    with pytest.raises(EvidenceError, match="two current results on board 0003"):
        tally_cells(target(), [number("0003", 3.3), number("0003", 3.4)])
