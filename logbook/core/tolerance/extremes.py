"""The extremes of a formula over a box of parts, by interval branch and bound.

References
----------
Hansen, Walster, Global Optimization Using Interval Analysis, 2nd ed. (2004), chapters 9 and 12
(monotonicity test, mean value form; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.core.errors import FormulaError, ToleranceError
from logbook.core.formulas import Formula, Interval
from logbook.core.tolerance.parts import Part

Floats = NDArray[np.float64]

RELATIVE = 5e-10  # half of the 1e-9 that is promised
_BATCH = 2048
# A band is the product of a tolerance and a drift at most: four roundings.
_HALF_ULP = 4 * float(np.finfo(np.float64).eps) / 2
_WORK = 2_000_000  # boxes times steps of the formula: under a second for most formulas


@dataclass(frozen=True, slots=True)
class Extreme:
    """Lowest and highest value over the whole box: an enclosure, so never inside the true ones.

    Parameters
    ----------
    low, high : float
        In base units, ``low <= high``.
    exact : bool
        True: outside the truth by 1e-9 relative at most. False: perhaps much wider than the truth.
    """

    low: float
    high: float
    exact: bool

    def __post_init__(self) -> None:
        if not self.low <= self.high:
            raise ToleranceError("The lower extreme is not above the upper one.", given=f"{self.low}")


def extreme_values(formula: Formula, parts: Sequence[Part], *, budget: int | None = None) -> Extreme:
    """Find the extremes of a formula over the bands of its parts, also between the corners.

    Parameters
    ----------
    formula : Formula
        Over the parts.
    parts : sequence of Part
        One for each name of the formula.
    budget : int, optional
        Boxes to look at for each end, above 0; by default as many as take about a second.

    Returns
    -------
    Extreme
        Exact, or with the budget used up the enclosure found so far.

    Raises
    ------
    FormulaError
        When the formula has no value somewhere in the box.
    ToleranceError
        When no finite bound is found, as near a pole.

    Notes
    -----
    A part in which a box is surely monotonic is set to its better end; other boxes are halved and those
    that cannot hold a better value are dropped. 1e-9 is relative to the extreme itself, or near 0 to 1e-4
    of the width of the first enclosure. What is returned is the bound of all boxes that were dropped, widened
    by the rounding of the parts' own ends, so it holds the truth; numbers written in the formula are taken
    as the nearest double. No clock is read, so the same input gives the same answer.

    Examples
    --------
    >>> from logbook.core.formulas import parse_formula
    >>> found = extreme_values(parse_formula("x*(1 - x)"), [Part("x", 0.5, 0.2, 0.9)])
    >>> round(found.low, 9), round(found.high, 9), found.exact
    (0.09, 0.25, True)
    """
    boxes = budget if budget is not None else max(500, _WORK // max(len(formula.steps), 20))
    if boxes < 1:
        raise ToleranceError("A search looks at one box at least.", given=str(budget), where="budget")
    top = _Search(formula, parts, 1.0).run(boxes)
    bottom = _Search(formula, parts, -1.0).run(boxes)
    return Extreme(-bottom[0], top[0], exact=top[1] and bottom[1])


class _Search:
    """Search for the largest value of sign × formula."""

    def __init__(self, formula: Formula, parts: Sequence[Part], sign: float) -> None:
        used = [part for part in parts if part.name in formula.names]
        self._parts = used
        self._formula, self._sign = formula, sign
        self._fixed = {part.name: part.band[0] for part in used if part.half_width == 0}
        self._moving = [part for part in used if part.half_width > 0]
        self._names = [part.name for part in self._moving]
        self._best = -np.inf
        self._passed_over = -np.inf
        self._floor = 0.0

    def run(self, budget: int) -> tuple[float, bool]:
        """Return the largest value, and whether it is exact or a bound that is surely not exceeded."""
        low = np.array([[part.band[0] for part in self._moving]], dtype=np.float64)
        high = np.array([[part.band[1] for part in self._moving]], dtype=np.float64)
        upper = np.array([np.inf])
        self._look_at(np.array([[part.nominal for part in self._moving]], dtype=np.float64))
        rounding = self._rounding(low, high)
        if not self._moving:
            return self._best, True
        self._set_floor(low, high)
        while len(upper) and budget > 0:
            order = np.argsort(-upper, kind="stable")
            now, later = order[:_BATCH], order[_BATCH:]
            budget -= len(now)
            halves = self._step(low[now], high[now], upper[now])
            low = np.concatenate([low[later], halves[0]])
            high = np.concatenate([high[later], halves[1]])
            upper = np.concatenate([upper[later], halves[2]])
            keep = upper > self._best + self._slack
            self._pass_over(upper[~keep])
            low, high, upper = low[keep], high[keep], upper[keep]
        is_searched = not len(upper) and self._passed_over <= self._best + self._slack
        self._pass_over(upper)
        return self._bound(self._outward(rounding)), is_searched

    def _pass_over(self, upper: Floats) -> None:
        """Remember the highest bound of boxes that are not looked at again: the truth may lie up there."""
        self._passed_over = max(self._passed_over, float(upper.max(initial=-np.inf)))

    def _outward(self, rounding: float) -> float:
        """Return the end that surely holds all values, the rounding of the parts' ends included."""
        reached = max(self._best, self._passed_over)
        return float(np.nextafter(reached + rounding, np.inf)) if rounding else reached

    def _rounding(self, low: Floats, high: Floats) -> float:
        """Return how far the result may be off because no part is typed in binary: half a unit in the last
        place of each, times its steepest slope over the box, or its slope at the nominal where none is known.
        Whole numbers are exact.
        """
        moved = 0.0
        ends = {
            part.name: part.band for part in self._parts if any(not end.is_integer() for end in part.band)
        }
        _, found, is_sound = self._formula.enclose_with_slopes(self._box(low, high), frozenset(ends))
        for name, band in ends.items():
            slope = found[name]
            steepest = float(np.maximum(np.abs(slope.low), np.abs(slope.high)).max())
            if not is_sound.all() or not np.isfinite(steepest):
                steepest = self._nominal_slope(name)
            moved += steepest * _HALF_ULP * max(abs(end) for end in band)
        return moved * (1 + 1e-12)

    def _nominal_slope(self, name: str) -> float:
        try:
            found = self._formula.gradient({part.name: part.nominal for part in self._parts}, [name])[name]
        except FormulaError:
            return 0.0
        return abs(float(found))

    def _bound(self, bound: float) -> float:
        if not np.isfinite(bound):
            raise ToleranceError(
                "No finite extreme was found: the formula may have a pole or be undefined within the bands.",
                given=self._formula.text[:40],
                allowed="bands in which the formula is finite everywhere",
                where="formula",
            )
        return bound

    @property
    def _slack(self) -> float:
        return max(RELATIVE * abs(self._best), self._floor)

    def _set_floor(self, low: Floats, high: Floats) -> None:
        first = self._enclose(low, high)
        width = float(first.high[0] - first.low[0])
        self._floor = 1e-13 * width if np.isfinite(width) else 0.0

    def _box(self, low: Floats, high: Floats) -> dict[str, Interval]:
        shape = low.shape[:1]
        box = {name: Interval(low[:, i], high[:, i]) for i, name in enumerate(self._names)}
        return box | {name: Interval(np.full(shape, v), np.full(shape, v)) for name, v in self._fixed.items()}

    def _enclose(self, low: Floats, high: Floats) -> Interval:
        """Return bounds of sign × formula; the whole line where any step may be undefined."""
        value, _, is_sound = self._formula.enclose_with_slopes(self._box(low, high), frozenset())
        shape = low.shape[:1]
        signed = value if self._sign > 0 else -value
        return Interval(
            np.broadcast_to(np.where(is_sound, signed.low, -np.inf), shape),
            np.broadcast_to(np.where(is_sound, signed.high, np.inf), shape),
        )

    def _slopes(self, low: Floats, high: Floats) -> tuple[Floats, Floats]:
        """Return bounds of the slopes of sign × formula, shape (boxes, parts); unknown ones are infinite."""
        _, found, is_sound = self._formula.enclose_with_slopes(self._box(low, high), frozenset(self._names))
        lows, highs = np.empty_like(low), np.empty_like(high)
        for i, name in enumerate(self._names):
            slope = found[name] if self._sign > 0 else -found[name]
            lows[:, i] = np.where(is_sound & ~np.isnan(slope.low), slope.low, -np.inf)
            highs[:, i] = np.where(is_sound & ~np.isnan(slope.high), slope.high, np.inf)
        return lows, highs

    def _step(self, low: Floats, high: Floats, upper: Floats) -> tuple[Floats, Floats, Floats]:
        """Bound a batch of boxes more closely and halve those that remain."""
        slope_low, slope_high = self._slopes(low, high)
        rises, falls = slope_low >= 0, slope_high <= 0
        low, high = np.where(rises, high, low), np.where(falls & ~rises, low, high)
        middle = low + (high - low) / 2
        self._look_at(middle)
        upper = np.minimum(upper, self._enclose(low, high).high)
        steepest = np.maximum(np.abs(slope_low), np.abs(slope_high))
        upper = np.minimum(upper, self._mean_value_bound(middle, low, high, steepest))
        keep = (upper > self._best + self._slack) & (high > low).any(axis=1)
        self._pass_over(upper[~keep & np.isfinite(upper)])
        can_halve = (middle > low) & (middle < high)
        effect = np.minimum(np.minimum(steepest, 1e200) * (high - low), 1e250)
        worst = np.where(can_halve, effect, -1.0).argmax(axis=1)
        return _halved(low[keep], high[keep], upper[keep], middle[keep], worst[keep])

    def _mean_value_bound(self, middle: Floats, low: Floats, high: Floats, steepest: Floats) -> Floats:
        centre = self._enclose(middle, middle).high
        widths = np.maximum(high - middle, middle - low)
        reach = np.where(widths > 0, np.where(widths > 0, steepest, 0.0) * widths, 0.0).sum(axis=1)
        # The products and the sum are rounded; 1e-12 of them covers 200 terms.
        bound: Floats = centre + reach * (1 + 1e-12)
        return bound

    def _look_at(self, points: Floats) -> None:
        """Take the value of the formula at points of the box into account."""
        values = {name: points[:, i] for i, name in enumerate(self._names)}
        try:
            found = np.asarray(self._formula.evaluate({**self._fixed, **values}))
        except FormulaError as error:
            raise FormulaError(
                f"{error.message} This is within the bands of the parts.",
                given=error.given,
                allowed="bands in which the formula is finite everywhere",
                where="formula",
            ) from None
        self._best = max(self._best, float((self._sign * found).max()))


def _halved(
    low: Floats, high: Floats, upper: Floats, middle: Floats, worst: NDArray[np.intp]
) -> tuple[Floats, Floats, Floats]:
    rows = np.arange(len(low))
    left_high, right_low = high.copy(), low.copy()
    left_high[rows, worst] = middle[rows, worst]
    right_low[rows, worst] = middle[rows, worst]
    return np.concatenate([low, right_low]), np.concatenate([left_high, high]), np.tile(upper, 2)
