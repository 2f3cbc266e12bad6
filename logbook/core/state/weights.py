"""What evidence is still worth after a change: by the distance to what was touched."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Mapping, Sequence
from math import prod

from logbook.core.errors import EvidenceError

# By steps to the nearest touched subsystem: itself, one step, two steps; further is untouched. Judgement.
WEIGHT_BY_STEPS = (0.0, 0.5, 0.8)
UNTOUCHED = 1.0
# Readings on a rework that was folded in as a change: the hand-made form is not the drawn one. Judgement.
REWORK_WEIGHT = 0.5


def ways_to_touched(
    needs: Mapping[str, Collection[str]], touched: Collection[str]
) -> dict[str, tuple[str, ...]]:
    """The shortest way from each subsystem, following *depends on*, to a touched one.

    Parameters
    ----------
    needs : mapping of str to collection of str
        What each subsystem depends on directly.
    touched : collection of str
        Subsystems that changes touch.

    Returns
    -------
    dict of str to tuple of str
        The subsystems of the way, both ends included; no entry where no touched one can be reached.

    Raises
    ------
    EvidenceError
        When a touched subsystem is unknown.

    Notes
    -----
    Searched backwards from the touched ones, so that one pass serves all; among equals the way through
    the first key is taken.

    References
    ----------
    E. F. Moore, "The shortest path through a maze" (1959), for the search in order of distance.

    Examples
    --------
    >>> ways_to_touched({"MEM": ["MCU"], "MCU": ["RLD"], "RLD": []}, ["RLD"])["MEM"]
    ('MEM', 'MCU', 'RLD')
    """
    dependents: dict[str, list[str]] = {}
    for subsystem in sorted(needs):
        for needed in needs[subsystem]:
            dependents.setdefault(needed, []).append(subsystem)
    for subsystem in touched:
        if subsystem not in needs:
            raise EvidenceError(
                f"Change touches {subsystem}, which is no subsystem here.",
                given=subsystem,
                allowed="subsystems of the project",
                where="changes",
            )
    ways: dict[str, tuple[str, ...]] = {subsystem: (subsystem,) for subsystem in sorted(touched)}
    waiting = deque(ways)
    while waiting:
        reached = waiting.popleft()
        for subsystem in dependents.get(reached, ()):
            if subsystem not in ways:
                ways[subsystem] = (subsystem, *ways[reached])
                waiting.append(subsystem)
    return ways


def weight_along(ways: Iterable[Sequence[str] | None]) -> float:
    """What evidence keeps over a line of revisions.

    Parameters
    ----------
    ways : iterable of (sequence of str or None)
        One a revision on the line: the way from the target's subsystem to the nearest one its changes touch,
        empty when there is none; None where it records no changes.

    Returns
    -------
    float
        0 to 1, the product of `weight_of_way`; 0 where a revision records no changes: silence is no evidence.

    Examples
    --------
    >>> weight_along([["MCU", "RLD"], ["MEM", "MCU", "RLD"]])
    0.4
    >>> weight_along([[], None])
    0.0
    """
    return prod(0.0 if way is None else weight_of_way(way) for way in ways)


def weight_of_way(way: Sequence[str]) -> float:
    """What evidence keeps when the nearest touched subsystem lies at the end of a way.

    Parameters
    ----------
    way : sequence of str
        Subsystems from the target's own to the touched one, both included; empty when there is none.

    Returns
    -------
    float
        0 when it is touched itself, 0.5 one step away, 0.8 two steps, else 1.

    Examples
    --------
    >>> [weight_of_way(way) for way in (["RLD"], ["MCU", "RLD"], [])]
    [0.0, 0.5, 1.0]
    """
    steps = len(way) - 1
    return WEIGHT_BY_STEPS[steps] if 0 <= steps < len(WEIGHT_BY_STEPS) else UNTOUCHED
