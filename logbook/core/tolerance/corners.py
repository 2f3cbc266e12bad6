"""The formula at every corner of the box: a second route to extremes that lie on corners."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from logbook.core.errors import ToleranceError
from logbook.core.formulas import Formula
from logbook.core.tolerance.parts import Part

MOST_PARTS = 24
_LOW_BITS = 14  # so many parts are spread over one array; the others are flipped as scalars


def corner_extremes(formula: Formula, parts: Sequence[Part]) -> tuple[float, float]:
    """Return the smallest and the largest value of a formula over all corners.

    Parameters
    ----------
    formula : Formula
        Over the parts.
    parts : sequence of Part
        At most 24 of them with a band; the memory needed does not grow with their number.

    Returns
    -------
    tuple of float
        Low and high, in base units.

    Raises
    ------
    FormulaError
        When the formula has no value at some corner.
    ToleranceError
        When there are more than 24 parts with a band.

    Notes
    -----
    Corners suffice only where the formula is monotonic in each part; `extreme_values` searches the box.

    Examples
    --------
    >>> from logbook.core.formulas import parse_formula
    >>> corner_extremes(parse_formula("a - b"), [Part("a", 10, 9, 11), Part("b", 1, 1, 2)])
    (7.0, 10.0)
    """
    moving = [part for part in parts if part.half_width > 0 and part.name in formula.names]
    if len(moving) > MOST_PARTS:
        raise ToleranceError(
            f"{len(moving)} parts have too many corners.",
            given=str(len(moving)),
            allowed=f"at most {MOST_PARTS} parts with a band",
            where="parts",
        )
    values: dict[str, float | NDArray[np.float64]] = {part.name: part.nominal for part in parts}
    inner, outer = moving[:_LOW_BITS], moving[_LOW_BITS:]
    corners = np.arange(2 ** len(inner))
    for bit, part in enumerate(inner):
        values[part.name] = np.where(corners >> bit & 1, part.band[1], part.band[0])
    lowest, highest = np.inf, -np.inf
    for corner in range(2 ** len(outer)):
        for bit, part in enumerate(outer):
            values[part.name] = part.band[corner >> bit & 1]
        found = np.asarray(formula.evaluate(values))
        lowest, highest = min(lowest, float(found.min())), max(highest, float(found.max()))
    return lowest, highest
