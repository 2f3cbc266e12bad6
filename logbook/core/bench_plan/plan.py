"""The plan itself: what is possible, the best of it, its order, and why each line is there or is not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set

from logbook.core.bench_plan.checks import BenchPlan, Check, CheckKey, LeftOut, PlannedCheck
from logbook.core.bench_plan.choosing import best_choice
from logbook.core.bench_plan.ordering import order_to_do
from logbook.core.bench_plan.possible import Possible, possible_checks
from logbook.core.errors import BenchPlanError


def best_bench_hour(checks: Iterable[Check], minutes: int) -> BenchPlan:
    """Choose and order the checks that buy most hours in the minutes there are.

    Parameters
    ----------
    checks : iterable of Check
        Everything that could be done on the boards at hand, also checks that buy nothing but come before
        others; each (target, point, board) once.
    minutes : int
        Hands-on minutes there are, 0 or more.

    Returns
    -------
    BenchPlan
        The best choice, exactly; of choices that buy as much, the one with fewest minutes, then the one
        whose keys come first.

    Raises
    ------
    BenchPlanError
        When a check comes twice, the minutes are negative, or the solver gives no answer.
    GraphError
        When prerequisites run in a circle.

    Notes
    -----
    At most one board a target and point. A check is chosen only together with every point of every
    prerequisite on its board, unless these stand at pass or conditional pass there; with one failing there
    it is left out, as is what stresses a board on one kept as the reference or on the only one left. Waiting
    takes no minutes of the plan and is started as late as prerequisites allow. What buys less than a
    millionth of an hour more counts as equal.

    Examples
    --------
    >>> from logbook.core.bench_plan import Check, Need
    >>> walk = Check("MEM-2", "", "0006", 10, 0.25, 40.0, needs=(Need("MEM-1"),))
    >>> rail = Check("MEM-1", "", "0006", 5, 0.25, 8.0)
    >>> plan = best_bench_hour([walk, rail], 20)
    >>> [(one.check.target, one.buys) for one in plan.checks], plan.minutes
    ([('MEM-1', 2.0), ('MEM-2', 10.0)], 15)
    >>> [one.check.target for one in best_bench_hour([walk, rail], 10).checks]
    ['MEM-1']
    """
    known = list(checks)
    _refuse(known, minutes)
    possible = possible_checks(known, minutes)
    worthwhile = _worthwhile(possible)
    chosen = best_choice(worthwhile, possible.needs, minutes)
    planned = _with_what_they_need(chosen, possible)
    order = order_to_do([check for check in worthwhile if check.key in planned], possible.needs)
    needed_by = _needed_by(order, possible.needs)
    used = sum(check.minutes for check in order)
    return BenchPlan(
        minutes=used,
        buys=sum(check.buys for check in order),
        checks=tuple(PlannedCheck(one, one.buys, _reason(one, needed_by.get(one.key, []))) for one in order),
        left_out=tuple(_left_out(known, possible, planned, minutes - used)),
    )


def _refuse(checks: Sequence[Check], minutes: int) -> None:
    if minutes < 0:
        raise BenchPlanError(
            f"{minutes} minutes are no time.", given=str(minutes), allowed="0 or more", where="minutes"
        )
    seen: set[CheckKey] = set()
    for check in checks:
        if check.key in seen:
            where = f"{check.target} {check.point}".rstrip() + f" on board {check.board}"
            raise BenchPlanError(f"{where} comes twice.", given=where, allowed="each once", where="checks")
        seen.add(check.key)


def _worthwhile(possible: Possible) -> tuple[Check, ...]:
    """Leave out what buys nothing and comes before nothing that does."""
    wanted = {check.key for check in possible.checks if check.buys > 0}
    wanted |= {one for key in wanted for one in possible.takes_along[key]}
    return tuple(check for check in possible.checks if check.key in wanted)


def _with_what_they_need(chosen: Set[CheckKey], possible: Possible) -> set[CheckKey]:
    """Return what buys and all it takes along: a check of no minutes may be chosen for nothing."""
    buying = {check.key for check in possible.checks if check.key in chosen and check.buys > 0}
    return buying | {one for key in buying for one in possible.takes_along[key]}


def _needed_by(
    order: Sequence[Check], needs: Mapping[CheckKey, Sequence[CheckKey]]
) -> dict[CheckKey, list[str]]:
    found: dict[CheckKey, list[str]] = {}
    for check in order:
        for needed in needs[check.key]:
            found.setdefault(needed, []).append(check.target)
    return found


def _reason(check: Check, needed_by: Sequence[str]) -> str:
    parts = [f"{check.why}: nothing to gain from it alone" if check.why else "nothing to gain from it alone"]
    if check.buys > 0:
        severity = f" ({check.severity})" if check.severity else ""
        sum_of_it = f"{check.probability:.3g} × {check.hours:g} h{severity} = {check.buys:.3g} h"
        parts = [f"{check.why}: {sum_of_it}" if check.why else sum_of_it]
    if needed_by:
        parts.append(f"comes before {', '.join(dict.fromkeys(needed_by))}")
    return "; ".join(parts)


def _left_out(
    checks: Sequence[Check], possible: Possible, planned: Set[CheckKey], minutes_left: int
) -> Iterable[LeftOut]:
    """Name every check that would buy and cannot be done; what only found no time, once for all boards."""
    settled = {(key.target, key.point) for key in planned}
    minutes = {key: one.minutes for one in checks if (key := one.key) not in planned}
    for check in sorted(checks, key=lambda one: one.key):
        if check.buys <= 0:
            continue
        if check.key in possible.obstacles:
            yield LeftOut(*_named(check), possible.obstacles[check.key])
        elif (check.target, check.point) not in settled:
            settled.add((check.target, check.point))
            told = possible.too_long.get(check.key) or _no_time(
                check,
                [minutes[one] for one in possible.takes_along[check.key] if one in minutes],
                minutes_left,
            )
            yield LeftOut(*_named(check), told)


def _named(check: Check) -> tuple[str, str, str]:
    return check.target, check.point, check.board


def _no_time(check: Check, first: Sequence[int], minutes_left: int) -> str:
    """Say why a possible check is not chosen; ``first`` are the minutes of what is not planned before it."""
    taken = check.minutes + sum(first)
    along = " with what comes first" if first else ""
    if taken <= minutes_left:
        return f"what comes first is planned on another board; takes {taken} min{along}"
    return f"takes {taken} min{along}, {minutes_left} are left, and the others buy more"
