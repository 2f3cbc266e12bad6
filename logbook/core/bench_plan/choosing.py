"""The exact choice: a 0/1 integer programme, its ties settled by further programmes.

Stage 1 finds the most hours that can be bought, stage 2 the fewest minutes that buy them, stage 3 among
these the choice whose keys come first. No stage may give up what an earlier one reached.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from logbook.core.bench_plan.checks import Check, CheckKey
from logbook.core.bench_plan.equal_boards import without_equal_boards
from logbook.core.errors import BenchPlanError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Purchases that differ by less count as equal: a millionth of an hour, the tolerance of the solver.
TIE_H = 1e-6
# Keys settled in one programme. Weights 2^0..2^13 stay far from the solver's integrality tolerance of 1e-6.
KEYS_AT_ONCE = 14


def best_choice(
    checks: Sequence[Check], needs: Mapping[CheckKey, Sequence[CheckKey]], minutes: int
) -> frozenset[CheckKey]:
    """Choose the checks that buy most in the minutes there are.

    Parameters
    ----------
    checks : sequence of Check
        Sorted by key, each possible.
    needs : mapping of CheckKey to sequence of CheckKey
        What each needs first, directly; all among the checks.
    minutes : int
        Hands-on minutes there are, 0 or more.

    Returns
    -------
    frozenset of CheckKey
        Those that buy and what they need, nothing else.

    Raises
    ------
    BenchPlanError
        When the solver gives no answer.

    Notes
    -----
    Of two choices that buy as much in as many minutes, the one stands that has the first key, in order of
    keys of checks that buy something, at which they differ.

    References
    ----------
    Q. Huangfu and J. A. J. Hall, "Parallelizing the dual revised simplex method", Mathematical
    Programming Computation 10 (2018), for the solver behind `scipy.optimize.milp`.
    """
    if not any(check.buys > 0 for check in checks):
        return frozenset()
    programme = _programme(without_equal_boards(checks, needs), needs, minutes)
    most = float(programme.buys @ programme.solve(-programme.buys, []))
    programme = programme.without_dear(most)
    kept = [_Row(programme.buys, most - TIE_H, float("inf"))]
    fewest = programme.solve(programme.minutes, kept)
    kept.append(_Row(programme.minutes, 0.0, float(programme.minutes @ fewest)))
    return programme.keys_of(_first_by_key(programme, fewest, kept))


@dataclass(frozen=True, slots=True)
class _Row:
    """One more condition: `least` ≤ coefficients · x ≤ `most`."""

    coefficients: NDArray[np.float64]
    least: float
    most: float


@dataclass(slots=True)
class _Programme:
    """Variables are checks; `fixed_low` and `fixed_high` bound each to {0, 1}, 0 or 1."""

    keys: list[CheckKey]
    buys: NDArray[np.float64]
    minutes: NDArray[np.float64]
    matrix: Any
    ceilings: NDArray[np.float64]
    fixed_low: NDArray[np.float64]
    fixed_high: NDArray[np.float64]

    def solve(self, cost: NDArray[np.float64], rows: Iterable[_Row]) -> NDArray[np.float64]:
        """Return the choice of least cost as zeros and ones."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        conditions = [LinearConstraint(self.matrix, -np.inf, self.ceilings)]
        conditions += [LinearConstraint(row.coefficients[None, :], row.least, row.most) for row in rows]
        answer = milp(
            cost,
            integrality=np.ones(len(self.keys), dtype=int),
            bounds=Bounds(self.fixed_low, self.fixed_high),
            constraints=conditions,
            options={"mip_rel_gap": 0},
        )
        if answer.x is None:
            raise BenchPlanError(f"No plan was found: {answer.message}", where="bench plan")
        return np.round(answer.x)

    def without_dear(self, most: float) -> _Programme:
        """Drop what no best choice can hold: its reduced cost exceeds what the relaxation leaves.

        What needs something dropped stays, with a condition that now holds it at 0.
        """
        import numpy as np
        from scipy.optimize import linprog

        bounds: Any = np.column_stack([self.fixed_low, self.fixed_high])
        relaxed = linprog(-self.buys, A_ub=self.matrix, b_ub=self.ceilings, bounds=bounds, method="highs")
        if relaxed.fun is None:
            return self
        room = -relaxed.fun - most + 2 * TIE_H
        kept = np.flatnonzero(relaxed.lower.marginals <= room)
        matrix = self.matrix[:, kept]
        rows = np.flatnonzero(np.diff(matrix.indptr))
        return _Programme(
            [self.keys[place] for place in kept],
            self.buys[kept],
            self.minutes[kept],
            matrix[rows],
            self.ceilings[rows],
            self.fixed_low[kept],
            self.fixed_high[kept],
        )

    def keys_of(self, choice: NDArray[np.float64]) -> frozenset[CheckKey]:
        """Return the keys of what is chosen."""
        return frozenset(key for key, taken in zip(self.keys, choice, strict=True) if taken)


def _programme(
    checks: Sequence[Check], needs: Mapping[CheckKey, Sequence[CheckKey]], minutes: int
) -> _Programme:
    import numpy as np
    from scipy.sparse import coo_array

    keys = [check.key for check in checks]
    place = {key: number for number, key in enumerate(keys)}
    cost = np.array([check.minutes for check in checks], dtype=float)
    rows: list[dict[int, float]] = [{number: float(one) for number, one in enumerate(cost) if one}]
    ceilings = [float(minutes)]
    boards: dict[tuple[str, str], list[int]] = defaultdict(list)
    for key in keys:
        boards[key.target, key.point].append(place[key])
    for choices in boards.values():
        if len(choices) > 1:
            rows.append(dict.fromkeys(choices, 1.0))
            ceilings.append(1.0)
    for key in keys:
        for needed in needs.get(key, ()):
            rows.append({place[key]: 1.0, place[needed]: -1.0})
            ceilings.append(0.0)
    entries = [(row, column, value) for row, line in enumerate(rows) for column, value in line.items()]
    row_numbers, columns, values = zip(*entries, strict=True) if entries else ((), (), ())
    matrix: Any = coo_array((values, (row_numbers, columns)), shape=(len(rows), len(keys)), dtype=float)
    buys = np.array([check.buys for check in checks])
    return _Programme(
        keys, buys, cost, matrix.tocsr(), np.array(ceilings), np.zeros(len(keys)), np.ones(len(keys))
    )


def _first_by_key(
    programme: _Programme, choice: NDArray[np.float64], kept: Sequence[_Row]
) -> NDArray[np.float64]:
    """Settle the checks that buy something, a few at a time, each as early in the order of keys as can be."""
    import numpy as np

    open_places = np.flatnonzero(programme.buys > 0)
    goal = kept[0].least
    for start in range(0, len(open_places), KEYS_AT_ONCE):
        if programme.buys @ programme.fixed_low >= goal:
            break
        block = open_places[start : start + KEYS_AT_ONCE]
        weights = np.zeros(len(programme.keys))
        weights[block] = -(2.0 ** np.arange(len(block) - 1, -1, -1))
        choice = programme.solve(weights, kept)
        programme.fixed_low[block] = choice[block]
        programme.fixed_high[block] = choice[block]
    return choice
