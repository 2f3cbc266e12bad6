"""Dependency graphs: who needs whom, directly or not, and in which order to go.

A graph is a mapping from each node to the nodes it needs. Every needed node must itself be a key.
Nothing here recurses, so the length of a chain is not limited by the interpreter's stack.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Collection, Hashable, Iterator, Mapping
from typing import Any, TypeVar

from logbook.core.errors import GraphError

K = TypeVar("K", bound=Hashable)


def closure(needs: Mapping[K, Collection[K]]) -> dict[K, frozenset[K]]:
    """All that each node needs, directly or not.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        What each node needs directly; acyclic.

    Returns
    -------
    dict[K, frozenset[K]]
        One entry a node, in the order given; a node is never part of its own closure.

    Raises
    ------
    GraphError
        When a needed node is unknown or the graph runs in a circle.

    Examples
    --------
    >>> sorted(closure({"soak": ["walk"], "walk": ["rail"], "rail": []})["soak"])
    ['rail', 'walk']
    """
    reached: dict[K, frozenset[K]] = {}
    for node in dependency_order(needs):
        direct = needs[node]
        reached[node] = frozenset(direct).union(*(reached[needed] for needed in direct))
    return {node: reached[node] for node in needs}


def find_cycle(needs: Mapping[K, Collection[K]]) -> tuple[K, ...] | None:
    """The first circle found, each node needing the next and the last the first.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        What each node needs directly.

    Returns
    -------
    tuple[K, ...] or None
        The nodes of one circle, each once; None when the graph is acyclic.

    Raises
    ------
    GraphError
        When a needed node is unknown.

    Examples
    --------
    >>> find_cycle({"a": ["b"], "b": ["c"], "c": ["b"]})
    ('b', 'c')
    >>> find_cycle({"a": ["b"], "b": []}) is None
    True
    """
    _refuse_unknown(needs)
    finished: set[K] = set()
    for start in needs:
        if start not in finished:
            cycle = _cycle_from(start, needs, finished)
            if cycle is not None:
                return cycle
    return None


def dependency_order(needs: Mapping[K, Collection[K]], key: Callable[[K], Any] | None = None) -> list[K]:
    """Every node after all it needs; among those that could come next, the smallest key first.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        What each node needs directly; acyclic.
    key : Callable[[K], Any], optional
        What to compare where the graph leaves the order open; ties, and everything when it is
        left out, keep the order given.

    Returns
    -------
    list[K]
        All nodes, each once.

    Raises
    ------
    GraphError
        When a needed node is unknown or the graph runs in a circle.

    References
    ----------
    A. B. Kahn, "Topological sorting of large networks", Communications of the ACM 5 (1962).

    Examples
    --------
    >>> dependency_order({"b": ["r"], "a": ["r"], "r": []}, key=str)
    ['r', 'a', 'b']
    """
    _refuse_unknown(needs)
    nodes = list(needs)
    place = {node: number for number, node in enumerate(nodes)}
    rank = {node: (key(node) if key else 0, place[node]) for node in nodes}
    open_needs = {node: len(set(needs[node])) for node in nodes}
    needed_by = _reversed(needs)
    ready = [rank[node] for node in nodes if not open_needs[node]]
    heapq.heapify(ready)
    order: list[K] = []
    while ready:
        node = nodes[heapq.heappop(ready)[1]]
        order.append(node)
        for dependant in needed_by[node]:
            open_needs[dependant] -= 1
            if not open_needs[dependant]:
                heapq.heappush(ready, rank[dependant])
    if len(order) < len(nodes):
        _refuse_cycle(needs)
    return order


def fan_out(needs: Mapping[K, Collection[K]]) -> dict[K, int]:
    """How many nodes need this one, directly or not.

    Parameters
    ----------
    needs : Mapping[K, Collection[K]]
        What each node needs directly; acyclic.

    Returns
    -------
    dict[K, int]
        One count a node, in the order given.

    Raises
    ------
    GraphError
        When a needed node is unknown or the graph runs in a circle.

    Examples
    --------
    >>> fan_out({"soak": ["walk"], "walk": ["rail"], "rail": []})
    {'soak': 0, 'walk': 1, 'rail': 2}
    """
    counts = dict.fromkeys(needs, 0)
    for reached in closure(needs).values():
        for node in reached:
            counts[node] += 1
    return counts


def _refuse_unknown(needs: Mapping[K, Collection[K]]) -> None:
    for node, direct in needs.items():
        for needed in direct:
            if needed not in needs:
                raise GraphError(
                    f"{node} needs {needed}, which is not there.",
                    given=str(needed),
                    allowed="only nodes of the same graph",
                    where=str(node),
                )


def _refuse_cycle(needs: Mapping[K, Collection[K]]) -> None:
    cycle = find_cycle(needs) or ()
    path = " needs ".join(str(node) for node in (*cycle, *cycle[:1]))
    raise GraphError(
        f"The dependencies run in a circle: {path}.",
        given=path,
        allowed="dependencies without a circle",
        where=str(cycle[0]) if cycle else "",
    )


def _reversed(needs: Mapping[K, Collection[K]]) -> dict[K, list[K]]:
    needed_by: dict[K, list[K]] = {node: [] for node in needs}
    for node, direct in needs.items():
        for needed in dict.fromkeys(direct):
            needed_by[needed].append(node)
    return needed_by


def _cycle_from(start: K, needs: Mapping[K, Collection[K]], finished: set[K]) -> tuple[K, ...] | None:
    """Walk down from one node; what is walked through without a circle is added to `finished`."""
    path: list[K] = [start]
    depth: dict[K, int] = {start: 0}
    open_needs: list[Iterator[K]] = [iter(needs[start])]
    while path:
        needed = next(open_needs[-1], None)
        if needed is None:
            open_needs.pop()
            done = path.pop()
            del depth[done]
            finished.add(done)
        elif needed in depth:
            return tuple(path[depth[needed] :])
        elif needed not in finished:
            depth[needed] = len(path)
            path.append(needed)
            open_needs.append(iter(needs[needed]))
    return None
