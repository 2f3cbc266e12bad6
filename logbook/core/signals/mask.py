"""Limit masks: piecewise lower and upper limits over frequency or time."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, finite_series

Interpolation = Literal["log", "linear"]
MaskRow = tuple[float, float | None, float | None]
MAX_POINTS = 1_000
MASK_POINT = "position, lower limit, upper limit, such as 20, -0.5, 0.5; - for no limit"
_NONE = {"", "-", "–", "none"}


@dataclass(frozen=True, slots=True)
class Mask:
    """Limits that run straight from point to point.

    Parameters
    ----------
    rows : tuple of (float, float or None, float or None)
        Position (hertz or seconds), lower and upper limit; positions do not fall. Two rows at one
        position make a step. A limit holds between two neighbouring rows that both state it.
    interpolation : {"log", "linear"}
        Whether limits run straight over the logarithm of the position or over the position itself.
    """

    rows: tuple[MaskRow, ...]
    interpolation: Interpolation = "log"

    def __post_init__(self) -> None:
        if not 2 <= len(self.rows) <= MAX_POINTS:
            raise SignalError(
                f"A mask has {len(self.rows)} points.",
                given=str(len(self.rows)),
                allowed=f"2 to {MAX_POINTS} points, one a line: {MASK_POINT}",
                where="mask",
            )
        if self.interpolation not in ("log", "linear"):
            raise SignalError(
                "No such interpolation.", given=str(self.interpolation), allowed="log or linear", where="mask"
            )
        for number, (position, low, high) in enumerate(self.rows, start=1):
            where = f"mask, point {number}"
            if not all(math.isfinite(value) for value in (position, low, high) if value is not None):
                raise SignalError("A mask holds finite numbers.", where=where)
            if self.interpolation == "log" and position <= 0:
                raise SignalError("A logarithmic axis starts above 0.", given=f"{position:g}", where=where)
            if low is not None and high is not None and low > high:
                raise SignalError(f"The lower limit {low:g} is above the upper limit {high:g}.", where=where)
        positions = [row[0] for row in self.rows]
        if any(after < before for before, after in pairwise(positions)):
            raise SignalError("The positions of a mask do not fall.", where="mask")
        if not self.segments("low") and not self.segments("high"):
            raise SignalError(
                "The mask limits nothing.", allowed="two neighbouring points with a limit", where="mask"
            )

    def segments(self, side: Literal["low", "high"]) -> tuple[tuple[float, float, float, float], ...]:
        """Straight pieces of one limit.

        Parameters
        ----------
        side : {"low", "high"}
            Which limit.

        Returns
        -------
        tuple of (float, float, float, float)
            Start, end, limit at the start, limit at the end.
        """
        place = 1 if side == "low" else 2
        return tuple(
            (before[0], after[0], float(start), float(end))
            for before, after in pairwise(self.rows)
            if after[0] > before[0]
            and (start := before[place]) is not None
            and (end := after[place]) is not None
        )


@dataclass(frozen=True, slots=True)
class MaskCheck:
    """What a curve does inside a mask.

    Parameters
    ----------
    is_inside : bool
        No point is beyond a limit and the curve covers the whole mask; on a limit is inside.
    is_covered : bool
        Whether the curve reaches from the first to the last limited position.
    margin : float
        Distance to the nearest limit at the worst point, in the curve's unit; below 0 outside.
    worst_at, worst_value, worst_limit : float
        The point with the least margin, and the limit there.
    worst_side : str
        ``lower`` or ``upper``.
    points_checked, points_outside : int
        Points of the curve under a limit, and beyond it; corners of the mask count as points.
    """

    is_inside: bool
    is_covered: bool
    margin: float
    worst_at: float
    worst_value: float
    worst_limit: float
    worst_side: str
    points_checked: int
    points_outside: int


def check_mask(mask: Mask, positions: Any, values: Any) -> MaskCheck:
    """Hold a curve against a mask.

    Parameters
    ----------
    mask : Mask
        The limits.
    positions, values : array_like
        Shape (n,), the curve: strictly increasing positions in the mask's unit, values in the unit of
        its limits.

    Returns
    -------
    MaskCheck
        Worst point and margin.

    Raises
    ------
    SignalError
        When the curve is no curve or has no point under any limit.

    Notes
    -----
    The curve is also judged at the corners of the mask, between its points. Where two pieces meet in a
    step, both hold. Comparisons are made in floating point; differences below 1e-12 of the larger value
    count as equal.
    """
    at, curve = finite_series(positions, "positions"), finite_series(values, "values")
    if at.size != curve.size or not (np.diff(at) > 0).all() or (mask.interpolation == "log" and at[0] <= 0):
        raise SignalError("The positions of the curve do not increase.", where="positions")
    corners = np.unique([row[0] for row in mask.rows])
    corners = corners[(corners > at[0]) & (corners < at[-1]) & ~np.isin(corners, at)]
    scaled = _axis(mask, at)
    between = np.interp(_axis(mask, corners), scaled, curve)
    at, curve = np.r_[at, corners], np.r_[curve, between]
    lower, upper = _limits(mask, at, "low"), _limits(mask, at, "high")
    return _judged(mask, at, curve, lower, upper)


def _axis(mask: Mask, positions: Floats) -> Floats:
    return np.log(positions) if mask.interpolation == "log" else positions


def _limits(mask: Mask, at: Floats, side: Literal["low", "high"]) -> Floats:
    """The tightest limit at each position; infinite where there is none."""
    tighter, none = (np.maximum, -np.inf) if side == "low" else (np.minimum, np.inf)
    limits = np.full(at.size, none)
    for start, end, first, last in mask.segments(side):
        inside = (at >= start) & (at <= end)
        ends = _axis(mask, np.array([start, end]))
        limits[inside] = tighter(limits[inside], np.interp(_axis(mask, at[inside]), ends, [first, last]))
    return limits


def _judged(mask: Mask, at: Floats, curve: Floats, lower: Floats, upper: Floats) -> MaskCheck:
    margins = np.minimum(curve - lower, upper - curve)
    limited = np.isfinite(margins)
    if not limited.any():
        raise SignalError("No point of the curve lies under a limit.", where="mask")
    worst = int(np.where(limited, margins, np.inf).argmin())
    is_lower = curve[worst] - lower[worst] <= upper[worst] - curve[worst]
    limit = float((lower if is_lower else upper)[worst])
    outside = int((limited & (margins < -1e-12 * np.abs(curve))).sum())
    pieces = mask.segments("low") + mask.segments("high")
    first, last = min(piece[0] for piece in pieces), max(piece[1] for piece in pieces)
    is_covered = bool(at.min() <= first and at.max() >= last)
    return MaskCheck(
        is_inside=is_covered and outside == 0,
        is_covered=is_covered,
        margin=float(margins[worst]),
        worst_at=float(at[worst]),
        worst_value=float(curve[worst]),
        worst_limit=limit,
        worst_side="lower" if is_lower else "upper",
        points_checked=int(limited.sum()),
        points_outside=outside,
    )


def parse_mask(source: str | Sequence[Sequence[float | None]], interpolation: Interpolation = "log") -> Mask:
    """Read a mask from text or rows.

    Parameters
    ----------
    source : str or sequence of rows
        Text: one point a line, ``position, lower, upper`` with ``-`` for no limit; a first line of names
        is skipped; ``interpolation: linear`` or ``interpolation: log`` may stand on a line of its own.
        Rows: the same three, None for no limit.
    interpolation : {"log", "linear"}
        Where the text does not say.

    Returns
    -------
    Mask
        The limits.

    Raises
    ------
    SignalError
        When a line cannot be read, or the points make no mask.

    Examples
    --------
    >>> parse_mask("20, -0.5, 0.5\\n20000, -0.5, 0.5").rows[0]
    (20.0, -0.5, 0.5)
    """
    if not isinstance(source, str):
        return Mask(
            tuple(_row(list(row), f"mask, point {n}") for n, row in enumerate(source, 1)), interpolation
        )
    rows: list[MaskRow] = []
    for number, line in enumerate(source.splitlines(), start=1):
        directive = re.fullmatch(r"\s*#?\s*interpolation\s*[:=]\s*(log|linear)\s*", line, re.I)
        if directive:
            interpolation = "linear" if directive[1].lower() == "linear" else "log"
        elif line.strip() and not (not rows and re.match(r"\s*[a-zA-Z#]", line)):
            rows.append(_row([*re.split(r"[,;\t]", line)], f"mask, line {number}"))
        if len(rows) > MAX_POINTS:
            raise SignalError("The mask has too many points.", allowed=f"2 to {MAX_POINTS}", where="mask")
    return Mask(tuple(rows), interpolation)


def _row(cells: list[Any], where: str) -> MaskRow:
    if len(cells) != 3:
        raise SignalError(
            f"A point of a mask has {len(cells)} parts.",
            given=", ".join(str(cell) for cell in cells)[:40],
            allowed=MASK_POINT,
            where=where,
        )
    position, low, high = (_limit(cell, where) for cell in cells)
    if position is None:
        raise SignalError("A point of a mask has a position.", allowed=MASK_POINT, where=where)
    return position, low, high


def _limit(cell: Any, where: str) -> float | None:
    if cell is None or (isinstance(cell, str) and cell.strip().lower() in _NONE):
        return None
    try:
        return float(cell)
    except (TypeError, ValueError, OverflowError) as error:
        given = str(cell)[:40]
        raise SignalError(
            f"{given} is no limit.", given=given, allowed="a number, or - for none", where=where
        ) from error
