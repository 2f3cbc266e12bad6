"""Rules that assign designators to subsystems."""

from __future__ import annotations

import pytest

from logbook.core.errors import PartsListError
from logbook.core.parts_list import assign_designators, read_designator, read_rule


def owner(name: str, *rules: tuple[str, str]) -> str | None:
    one = read_designator(name)
    return assign_designators([one], [(key, read_rule(text)) for key, text in rules]).get(one)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("L4", "RLD"),
        ("LED4", None),
        ("U2", "CLK"),
        ("U2A", "CLK"),
        ("U5", None),
        ("R12", "MCU"),
        ("R12A", None),
    ],
)
def test_a_rule_means_classes_ranges_and_single_ones(name: str, expected: str | None) -> None:
    assert owner(name, ("RLD", "L*"), ("CLK", "U1-U4"), ("MCU", "R12")) == expected


def test_the_firmest_term_wins_whatever_the_order() -> None:
    rules = [("ALL", "R*"), ("SOME", "R10-R20"), ("ONE", "R12")]
    for ordered in (rules, rules[::-1]):
        assert [owner(name, *ordered) for name in ("R1", "R11", "R12")] == ["ALL", "SOME", "ONE"]


@pytest.mark.parametrize(
    "text",
    ["", "*", "R**", "R?", "R1-C2", "R9-R1", "L*, L*", "R1-R5, R4-R9", "R1 R1", "R1," * 101, "(R1|R2)"],
)
def test_what_is_no_rule_is_refused(text: str) -> None:
    with pytest.raises(PartsListError):
        read_rule(text)


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("R*", "R*", True),
        ("R*", "R1", False),
        ("R1-R5", "R5-R9", True),
        ("R1-R4", "R5-R9", False),
        ("R1", "R1", True),
    ],
)
def test_equally_firm_terms_collide_where_they_overlap(one: str, other: str, expected: bool) -> None:
    assert read_rule(one)[0].collides(read_rule(other)[0]) is expected
