"""Differences of two bills and the changes proposed from them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.parts_list import (
    Difference,
    Kind,
    Part,
    compare_bills,
    propose_changes,
    read_designator,
)


def part(name: str, value: str = "", **given: Any) -> Part:
    return Part(read_designator(name), value, **given)


def kinds(found: tuple[Difference, ...]) -> list[tuple[str, str]]:
    return [(str(one.designator), str(one.kind)) for one in found]


@pytest.mark.parametrize(
    ("before", "after", "kind"),
    [
        (part("C11", "18 pF"), part("C11", "10p"), "value"),
        (part("R1", "4k7", footprint="0603"), part("R1", "4k7", footprint="0402"), "footprint"),
        (part("U1", part_number="INV-1"), part("U1", part_number="INV-2"), "part"),
        (part("R89", "0R"), part("R89", "0R", is_fitted=False), "fit"),
    ],
    ids=["value", "footprint", "part", "fit"],
)
def test_each_respect_is_told_apart(before: Part, after: Part, kind: str) -> None:
    assert kinds(compare_bills([before], [after])) == [(str(before.designator), kind)]


def test_they_come_as_people_count() -> None:
    found = compare_bills([part("R10")], [part("R2"), part("C3")])
    assert kinds(found) == [("C3", "added"), ("R2", "added"), ("R10", "removed")]


def test_what_a_bill_says_nothing_about_is_not_compared() -> None:
    before, after = part("R1", "4k7"), part("R1", "4k7", footprint="0402")
    assert compare_bills([before], [after], respects=["value"]) == ()


PARTS = st.dictionaries(
    st.integers(1, 30), st.tuples(st.sampled_from(["1k", "2k2", ""]), st.booleans()), max_size=12
).map(lambda found: [part(f"R{n}", value, is_fitted=fit) for n, (value, fit) in found.items()])


@given(PARTS)
def test_a_bill_does_not_differ_from_itself(bill: list[Part]) -> None:
    assert compare_bills(bill, list(reversed(bill))) == ()


@given(PARTS, PARTS)
def test_the_other_way_round_everything_is_turned(one: list[Part], other: list[Part]) -> None:
    turned = {Kind.ADDED: Kind.REMOVED, Kind.REMOVED: Kind.ADDED}
    there = compare_bills(one, other)
    back = compare_bills(other, one)
    assert [(d.designator, turned.get(d.kind, d.kind), d.after, d.before) for d in there] == [
        (d.designator, d.kind, d.before, d.after) for d in back
    ]


def test_one_change_is_proposed_for_each_subsystem() -> None:
    before = [part("C11", "18 pF"), part("C12", "18 pF"), part("R9", "10k")]
    after = [part("C11", "10 pF"), part("C12", "10 pF"), part("SB2", "bridge")]
    owned = {read_designator(name): "CLK" for name in ("C11", "C12")} | {read_designator("SB2"): "RLD"}
    found = propose_changes(compare_bills(before, after), owned)
    assert [(one.subsystem, one.kind, one.designators) for one in found] == [
        ("CLK", "BOM", "C11, C12"),
        ("RLD", "schematic", "SB2"),
        ("", "schematic", "R9"),
    ]
    assert found[0].what == "C11, C12 10 pF instead of 18 pF"


def test_another_footprint_is_a_change_of_the_layout() -> None:
    found = compare_bills([part("R1", footprint="0603")], [part("R1", footprint="0402")])
    assert [one.kind for one in propose_changes(found, {})] == ["layout"]
