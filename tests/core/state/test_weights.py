"""Weights by distance: the search backwards against walking every way forwards."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import EvidenceError
from logbook.core.state.weights import ways_to_touched, weight_along, weight_of_way

# The demo's own dependencies (subsystem on what it depends on).
SALTLARK = {
    "PIN": [], "MEC": [], "RLD": ["PIN"], "RLA": ["RLD"], "HYS": ["RLD"], "MCU": ["RLD"], "CLK": ["RLD"],
    "MEM": ["MCU", "CLK"], "BUS": ["MCU"], "COM": ["MCU"], "UI": ["BUS"],
    "AFE": ["RLA", "HYS", "CLK", "BUS"], "MON": ["AFE"], "EMC": ["COM", "MEM"], "THM": ["RLA", "MEM"],
}  # fmt: skip


def every_way(needs: dict[str, list[str]], start: str) -> list[tuple[str, ...]]:
    """Every way that begins at a subsystem and follows what it depends on; the second route."""
    return [(start,), *((start, *rest) for needed in needs[start] for rest in every_way(needs, needed))]


def shortest(needs: dict[str, list[str]], start: str, touched: set[str]) -> int | None:
    lengths = [len(way) - 1 for way in every_way(needs, start) if way[-1] in touched]
    return min(lengths, default=None)


@st.composite
def designs(draw: st.DrawFn) -> tuple[dict[str, list[str]], set[str]]:
    names = [f"S{number}" for number in range(draw(st.integers(1, 7)))]
    needs = {
        name: draw(st.lists(st.sampled_from(names[:place]), unique=True)) if place else []
        for place, name in enumerate(names)
    }
    return needs, draw(st.sets(st.sampled_from(names)))


@given(designs())
def test_the_way_is_the_shortest_of_all_ways(design: tuple[dict[str, list[str]], set[str]]) -> None:
    needs, touched = design
    ways = ways_to_touched(needs, touched)
    for start in needs:
        length = shortest(needs, start, touched)
        way = ways.get(start)
        assert (None if way is None else len(way) - 1) == length
        if way is not None:
            assert way in every_way(needs, start)
            assert way[-1] in touched


@given(designs())
def test_touching_more_never_raises_a_weight(design: tuple[dict[str, list[str]], set[str]]) -> None:
    needs, touched = design
    more = ways_to_touched(needs, touched | {"S0"})
    fewer = ways_to_touched(needs, touched)
    for start in needs:
        assert weight_of_way(more.get(start, ())) <= weight_of_way(fewer.get(start, ()))


@pytest.mark.parametrize(
    ("start", "touched", "weight"),
    [
        ("RLD", "RLD", 0.0),
        ("MCU", "RLD", 0.5),
        ("MEM", "RLD", 0.8),
        ("AFE", "RLD", 0.8),
        ("UI", "RLD", 1.0),
        ("MON", "AFE", 0.5),
        ("MEC", "RLD", 1.0),
        ("PIN", "RLD", 1.0),
    ],
    ids=[
        "itself",
        "one step",
        "two steps",
        "the shorter way",
        "three steps",
        "a leaf",
        "unconnected",
        "upstream",
    ],
)
def test_the_weight_follows_the_steps(start: str, touched: str, weight: float) -> None:
    """0, 0.5, 0.8 and 1 are the design's own judgement."""
    assert weight_of_way(ways_to_touched(SALTLARK, [touched]).get(start, ())) == weight


def test_a_change_of_an_unknown_subsystem_is_refused() -> None:
    with pytest.raises(EvidenceError, match="touches XYZ"):
        ways_to_touched(SALTLARK, ["XYZ"])


@given(st.lists(st.integers(0, 4), max_size=4))
def test_a_line_keeps_the_product_of_its_steps_and_silence_leaves_nothing(steps: list[int]) -> None:
    ways = [tuple(f"S{place}" for place in range(count)) for count in steps]
    # 0 touched itself, then 0.5 and 0.8, else 1; written out here by hand.
    product = 1.0
    for count in steps:
        product *= {1: 0.0, 2: 0.5, 3: 0.8}.get(count, 1.0)
    assert weight_along(ways) == pytest.approx(product)
    assert weight_along([*ways, None]) == 0.0
