"""Dependency graphs against brute force and on chains deeper than the interpreter's stack."""

from __future__ import annotations

import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.core.errors import GraphError
from logbook.core.graph import closure, dependency_order, fan_out, find_cycle

Graph = dict[int, list[int]]


@st.composite
def acyclic_graphs(draw: st.DrawFn) -> Graph:
    size = draw(st.integers(0, 9))
    names = draw(st.permutations(range(size)))
    return {
        name: draw(st.lists(st.sampled_from(names[:place]), unique=True)) if place else []
        for place, name in enumerate(names)
    }


@st.composite
def any_graphs(draw: st.DrawFn) -> Graph:
    size = draw(st.integers(1, 7))
    node = st.integers(0, size - 1)
    return {name: draw(st.lists(node, max_size=3, unique=True)) for name in range(size)}


def reachable(needs: Graph, start: int) -> set[int]:
    """All paths walked one by one: slow, plain, and independent of the code under test."""
    found: set[int] = set()
    waiting = list(needs[start])
    while waiting:
        node = waiting.pop()
        if node not in found:
            found.add(node)
            waiting.extend(needs[node])
    return found


@given(acyclic_graphs())
def test_it_finds_the_closure_that_walking_every_path_finds(needs: Graph) -> None:
    assert closure(needs) == {node: reachable(needs, node) for node in needs}


@given(acyclic_graphs())
def test_it_puts_every_node_after_all_it_needs(needs: Graph) -> None:
    order = dependency_order(needs)
    assert sorted(order) == sorted(needs)
    assert all(order.index(needed) < order.index(node) for node in needs for needed in needs[node])


@given(acyclic_graphs())
def test_it_counts_in_the_fan_out_who_reaches_a_node(needs: Graph) -> None:
    expected = {node: sum(node in reachable(needs, other) for other in needs) for node in needs}
    assert fan_out(needs) == expected


@given(any_graphs())
def test_it_finds_a_cycle_exactly_when_a_node_reaches_itself(needs: Graph) -> None:
    cycle = find_cycle(needs)
    assert (cycle is not None) == any(node in reachable(needs, node) for node in needs)
    if cycle is not None:
        pairs = zip(cycle, (*cycle[1:], cycle[0]), strict=True)
        assert all(needed in needs[node] for node, needed in pairs)


@given(any_graphs())
def test_it_refuses_to_order_exactly_the_graphs_with_a_cycle(needs: Graph) -> None:
    if find_cycle(needs) is None:
        assert len(dependency_order(needs)) == len(needs)
    else:
        with pytest.raises(GraphError, match="run in a circle"):
            dependency_order(needs)


def test_it_breaks_ties_by_key_and_then_by_the_order_given() -> None:
    needs: dict[str, list[str]] = {"C": [], "B": ["A"], "A": [], "D": []}
    assert dependency_order(needs) == ["C", "A", "B", "D"]
    assert dependency_order(needs, key=lambda node: node != "D") == ["D", "C", "A", "B"]


def test_it_names_the_node_that_is_not_there() -> None:
    with pytest.raises(GraphError, match="walk needs rail, which is not there") as caught:
        closure({"walk": ["rail"]})
    assert (caught.value.given, caught.value.where) == ("rail", "walk")


def test_it_names_the_whole_circle() -> None:
    with pytest.raises(GraphError, match="a needs b needs a"):
        fan_out({"a": ["b"], "b": ["a"], "c": ["a"]})


def test_it_follows_chains_deeper_than_the_stack() -> None:
    length = sys.getrecursionlimit() * 2
    chain = {node: [node + 1] if node < length else [] for node in range(length + 1)}
    assert dependency_order(chain)[0] == length
    assert find_cycle({**chain, length: [0]}) == tuple(range(length + 1))


def test_it_counts_a_need_named_twice_once() -> None:
    assert fan_out({"a": ["r", "r"], "r": []}) == {"a": 0, "r": 1}


def test_it_counts_the_eleven_checks_that_wait_for_the_memory_walk() -> None:
    """The demo board's memory chain, whose fan-out its story states."""
    soak = {f"MEM-{n}": ["MEM-4"] for n in (5, 6, 7, 8)}
    recording = {key: ["MEM-4"] for key in ("EMC-1", "EMC-2", "THM-2", "THM-3")}
    walk: dict[str, list[str]] = {"MEM-1": [], "MEM-2": ["MEM-1"], "MEM-3": ["MEM-1"]}
    needs = {**walk, "MEM-4": ["MEM-2", "MEM-3"], **soak, **recording}
    assert fan_out(needs)["MEM-1"] == 11
