"""Designators: read, spread, grouped, sorted."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import PartsListError
from logbook.core.parts_list import Designator, group_designators, read_designator, spread_designators


def names(text: str) -> list[str]:
    return [str(one) for one in spread_designators(text)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("R1, R2, R5-R8", ["R1", "R2", "R5", "R6", "R7", "R8"]),
        ("C1 C2", ["C1", "C2"]),
        ("C1;C2\nC3", ["C1", "C2", "C3"]),
        ("R5-8", ["R5", "R6", "R7", "R8"]),
        ("R5 – R7", ["R5", "R6", "R7"]),
        ("R5..R6", ["R5", "R6"]),
        ("u5a, U5B", ["U5A", "U5B"]),
        ("TP014", ["TP014"]),
        ("", []),
    ],
    ids=[
        "list and range",
        "spaces",
        "other gaps",
        "short range",
        "dash",
        "dots",
        "sections",
        "zeros",
        "empty",
    ],
)
def test_a_cell_is_spread_out(text: str, expected: list[str]) -> None:
    # Common practice: how design programs write grouped designators.
    assert names(text) == expected


@pytest.mark.parametrize(
    "text",
    ["R1, R1", "R1-R3, R2", "R8-R5", "R1-C4", "R1-R5000", "R", "12", "R1-", "R1A-R1C", "R01-R09", "R²"],
)
def test_what_could_mean_something_else_is_refused(text: str) -> None:
    with pytest.raises(PartsListError) as caught:
        spread_designators(text)
    assert caught.value.allowed


def test_a_cell_that_would_fill_the_memory_is_refused() -> None:
    cell = ", ".join(f"{letter}1-{letter}1000" for letter in "ABCDEFGHIJ")
    with pytest.raises(PartsListError, match="too many"):
        spread_designators(cell)


def test_they_sort_as_people_count() -> None:
    given_order = [read_designator(name) for name in ("R10", "RN1", "R2", "C3", "R2A")]
    assert [str(one) for one in sorted(given_order)] == ["C3", "R2", "R2A", "R10", "RN1"]
    assert sorted(given_order, key=lambda one: one.place) == sorted(given_order)


ANY = st.builds(
    lambda letters, number, suffix, zeros: read_designator(f"{letters}{'0' * zeros}{number}{suffix}"),
    st.text("CLRU", min_size=1, max_size=3),
    st.integers(0, 2_000),
    st.sampled_from(["", "", "", "A", "B"]),
    st.sampled_from([0, 0, 0, 1]),
)


@given(st.sets(ANY, max_size=60))
def test_grouping_reads_back_as_the_same(designators: set[Designator]) -> None:
    assert set(spread_designators(group_designators(designators))) == designators


@given(st.integers(0, 900), st.integers(2, 60))
def test_three_in_a_row_are_a_range(first: int, more: int) -> None:
    run = [read_designator(f"R{number}") for number in range(first, first + more + 1)]
    assert group_designators(reversed(run)) == f"R{first}-R{first + more}"


@given(st.lists(ANY, max_size=20))
def test_place_sorts_as_text_as_the_designator_does(designators: list[Designator]) -> None:
    assert sorted(designators, key=lambda one: one.place) == sorted(designators)
