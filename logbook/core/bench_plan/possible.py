"""Which checks can be done on their board at all, what each takes along, and why the others cannot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from logbook.core.bench_plan.checks import Check, CheckKey
from logbook.core.graph import closure, dependency_order


@dataclass(frozen=True, slots=True)
class Possible:
    """The checks that can be done, sorted by key, and what stands against the others.

    `needs` holds for each possible check those that must be done before it, directly; `takes_along` also
    what these need in turn. `too_long` tells apart what only the minutes stand against.
    """

    checks: tuple[Check, ...]
    needs: Mapping[CheckKey, tuple[CheckKey, ...]]
    takes_along: Mapping[CheckKey, frozenset[CheckKey]]
    obstacles: Mapping[CheckKey, str]
    too_long: Mapping[CheckKey, str]


def possible_checks(checks: Sequence[Check], minutes: int) -> Possible:
    """Sort out what can be done, in the order of prerequisites.

    Parameters
    ----------
    checks : sequence of Check
        Each key once.
    minutes : int
        Hands-on minutes there are.

    Returns
    -------
    Possible
        Checks that can be done in the time, together with all they need first, and the obstacles.

    Raises
    ------
    GraphError
        When prerequisites run in a circle.
    """
    by_key = {check.key: check for check in checks}
    unmet = {
        key: tuple(CheckKey(need.target, need.point, check.board) for need in check.needs if not need.is_met)
        for key, check in by_key.items()
    }
    known = {key: tuple(one for one in needed if one in by_key) for key, needed in unmet.items()}
    takes_along = closure(known)
    obstacles: dict[CheckKey, str] = {}
    too_long: dict[CheckKey, str] = {}
    for key in dependency_order(known):
        check = by_key[key]
        obstacle = _own_obstacle(check) or _obstacle_below(check, unmet[key], by_key, obstacles)
        taken = _too_long(check, [by_key[one] for one in takes_along[key]], minutes)
        if obstacle:
            obstacles[key] = obstacle
        elif taken:
            too_long[key] = taken
    possible = tuple(by_key[key] for key in sorted(by_key) if key not in obstacles and key not in too_long)
    return Possible(possible, known, takes_along, obstacles, too_long)


def _own_obstacle(check: Check) -> str:
    failing = sorted({need.target for need in check.needs if need.fails})
    if failing:
        verb = "fails" if len(failing) == 1 else "fail"
        return f"{', '.join(failing)} {verb} on board {check.board}"
    if check.stresses_board and check.on_reference:
        return f"it stresses the board, and {check.board} is the reference"
    if check.stresses_board and check.on_only_board:
        return (
            f"it stresses the board, and {check.board} is the only one at hand: "
            "it needs a second board, or the decision to test it first"
        )
    return ""


def _obstacle_below(
    check: Check,
    needed: Sequence[CheckKey],
    checks: Mapping[CheckKey, Check],
    obstacles: Mapping[CheckKey, str],
) -> str:
    """Say which prerequisite cannot be done here; what stands against that one is told as it is."""
    for one in needed:
        if one not in checks:
            return f"{one.target} comes first and cannot be read on board {check.board}"
        if one in obstacles:
            told = obstacles[one]
            return told if " comes first" in told else f"{one.target} comes first: {told}"
    return ""


def _too_long(check: Check, along: Sequence[Check], minutes: int) -> str:
    taken = check.minutes + sum(one.minutes for one in along)
    if taken <= minutes:
        return ""
    first = " with what comes first" if along else ""
    return f"takes {taken} min{first}, and there are {minutes}"
