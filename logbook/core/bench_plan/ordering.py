"""In which order to do the checks of a plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from logbook.core.bench_plan.checks import Check, CheckKey
from logbook.core.graph import dependency_order


def order_to_do(checks: Sequence[Check], needs: Mapping[CheckKey, Sequence[CheckKey]]) -> list[Check]:
    """Order the checks of a plan.

    Parameters
    ----------
    checks : sequence of Check
        Those of the plan.
    needs : mapping of CheckKey to sequence of CheckKey
        What each needs first, directly.

    Returns
    -------
    list of Check
        Each after what it needs; where that leaves the order open, what stresses a board last, waiting
        last and the longest wait at the very end, unpowered before powered, then what buys most a minute.

    Raises
    ------
    GraphError
        When prerequisites run in a circle.
    """
    by_key = {check.key: check for check in checks}
    planned = {key: [one for one in needs.get(key, ()) if one in by_key] for key in by_key}
    return [by_key[key] for key in dependency_order(planned, key=lambda key: _place(by_key[key]))]


def _place(check: Check) -> tuple[bool, int, bool, float, CheckKey]:
    rate = math.inf if check.minutes == 0 else check.buys / check.minutes
    return check.stresses_board, check.waiting_minutes, check.needs_power, -rate, check.key
