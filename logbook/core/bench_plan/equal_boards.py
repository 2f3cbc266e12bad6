"""Leaves out checks on a board on which everything could be done as well on one that comes first.

Untouched boards are alike, and a solver would try every way of spreading the work over them. Targets that
need each other, directly or not, form a group. Whatever a choice does of a group on a board can be moved to
an earlier board that offers all of it, for as many hours, in no more minutes, needing nothing more first:
the choice stays possible, buys as much, and its keys come earlier.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from logbook.core.bench_plan.checks import Check, CheckKey


class _Offer(NamedTuple):
    """What one target at one point is on a board."""

    buys: float
    minutes: int
    needs: frozenset[tuple[str, str]]


Offers = dict[tuple[str, str], _Offer]


def without_equal_boards(
    checks: Sequence[Check], needs: Mapping[CheckKey, Sequence[CheckKey]]
) -> tuple[Check, ...]:
    """Drop what an earlier board offers as well.

    Parameters
    ----------
    checks : sequence of Check
        Each possible.
    needs : mapping of CheckKey to sequence of CheckKey
        What each needs first on its board, directly; all among the checks.

    Returns
    -------
    tuple of Check
        Those among which the best choice is still found, in the order given.
    """
    groups = _groups(checks, needs)
    offers: dict[str, dict[str, Offers]] = defaultdict(lambda: defaultdict(dict))
    for check in checks:
        first = frozenset((one.target, one.point) for one in needs[check.key])
        offer = _Offer(check.buys, check.minutes, first)
        offers[groups[check.target]][check.board][check.target, check.point] = offer
    kept = {group: _kept_boards(by_board) for group, by_board in offers.items()}
    return tuple(check for check in checks if check.board in kept[groups[check.target]])


def _groups(checks: Sequence[Check], needs: Mapping[CheckKey, Sequence[CheckKey]]) -> dict[str, str]:
    """Name for each target the group it belongs to."""
    links: dict[str, set[str]] = {check.target: set() for check in checks}
    for check in checks:
        for one in needs[check.key]:
            links[check.target].add(one.target)
            links[one.target].add(check.target)
    group_of: dict[str, str] = {}
    for name in links:
        waiting = [name]
        while waiting:
            target = waiting.pop()
            if target not in group_of:
                group_of[target] = name
                waiting += links[target]
    return group_of


def _kept_boards(by_board: Mapping[str, Offers]) -> set[str]:
    kept: list[str] = []
    for board in sorted(by_board):
        if not any(_offers_all(by_board[earlier], by_board[board]) for earlier in kept):
            kept.append(board)
    return set(kept)


def _offers_all(earlier: Offers, later: Offers) -> bool:
    return all(
        cell in earlier
        and earlier[cell].buys >= offer.buys
        and earlier[cell].minutes <= offer.minutes
        and earlier[cell].needs <= offer.needs
        for cell, offer in later.items()
    )
