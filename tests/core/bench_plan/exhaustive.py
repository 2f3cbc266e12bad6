"""The second route: every choice of checks tried, by the words of the rule and nothing cleverer."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from logbook.core.bench_plan import Check, CheckKey

Choice = frozenset[CheckKey]


def is_allowed(choice: Sequence[Check], minutes: int) -> bool:
    """Say whether a choice keeps every rule."""
    keys = {check.key for check in choice}
    cells = {(check.target, check.point) for check in choice}
    return (
        sum(check.minutes for check in choice) <= minutes
        and len(cells) == len(keys)
        and not any(check.stresses_board and (check.on_reference or check.on_only_board) for check in choice)
        and all(
            need.found in {"pass", "conditional pass"}
            or (not need.found and CheckKey(need.target, need.point, check.board) in keys)
            for check in choice
            for need in check.needs
        )
    )


def best_of_all(checks: Sequence[Check], minutes: int) -> tuple[float, int, list[CheckKey]]:
    """Return the most hours, the fewest minutes that buy them, and the buying keys that come first."""
    found = []
    for size in range(len(checks) + 1):
        for choice in combinations(checks, size):
            if is_allowed(choice, minutes):
                buying = sorted(check.key for check in choice if check.buys > 0)
                bought = sum(check.buys for check in choice)
                found.append((-bought, sum(check.minutes for check in choice), buying))
    most, fewest, keys = min(found)
    return -most, fewest, keys
