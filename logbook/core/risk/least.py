"""The least predictive probability when readings well inside their limits may be left out.

A further board that passes with a wide margin can widen the spread of the sample and so raise the
predictive probability a little. Evidence for a design must not count against it, so the least value over
every way of leaving such readings out is taken: then one more of them can never raise the result.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from logbook.core.samples.predictive import PRIOR_BOARDS

Number = tuple[float, float]


def least_out_of_limits(
    fixed: Sequence[Number],
    comfortable: Sequence[Number],
    low: float | None,
    high: float | None,
    spread: float,
) -> float:
    """Least predictive probability over the readings with any of the comfortable ones left out.

    Parameters
    ----------
    fixed : sequence of (float, float), shape (n,)
        Readings that always count and their standard uncertainties, in one unit.
    comfortable : sequence of (float, float), shape (m,)
        Readings that may be left out; at least one reading is always kept.
    low, high : float or None
        Limits in the same unit.
    spread : float
        The prior spread s₀ in the same unit, above 0.

    Returns
    -------
    float
        0 to 1; 1 without any reading.

    Notes
    -----
    Not every subset is tried. Among readings of one uncertainty the best choice of a size is a run of
    neighbours in order of value, because leaving a gap only widens the spread; so runs are tried, among
    the readings up to each uncertainty. A test compares this with all subsets.

    References
    ----------
    A. Gelman et al., "Bayesian Data Analysis", 3rd edition (2013), chapter 3, for the model.

    Examples
    --------
    >>> round(least_out_of_limits([], [(3.317, 0.0)], 3.234, 3.366, 0.0165), 4)
    0.1207
    """
    return _least(tuple(fixed), tuple(sorted(comfortable)), low, high, spread)


# A reading changes one target of hundreds; the samples of the others come again as they were.
@lru_cache(maxsize=4096)
def _least(
    fixed: tuple[Number, ...],
    ordered: tuple[Number, ...],
    low: float | None,
    high: float | None,
    spread: float,
) -> float:
    least = _out(fixed, [], low, high, spread) if fixed else 1.0
    for ceiling in {u for _, u in ordered}:
        run = [number for number in ordered if number[1] <= ceiling]
        least = min(least, _out(fixed, run, low, high, spread))
    return least


def _out(
    fixed: Sequence[Number], run: Sequence[Number], low: float | None, high: float | None, spread: float
) -> float:
    """Least probability over `fixed` with each run of neighbours of `run`, or with none for an empty one."""
    import numpy as np
    from scipy.special import stdtr

    numbers = np.array([*fixed, *run], dtype=float)
    # Shifted to the first reading, or squares of large values would drown the spread.
    origin = float(numbers[0, 0])
    value, u = numbers[:, 0] - origin, numbers[:, 1]
    sums = np.stack([np.ones(len(value)), value, value * value, u * u])
    always = sums[:, : len(fixed)].sum(axis=1, keepdims=True)
    ahead = np.cumsum(sums[:, len(fixed) :], axis=1)
    ahead = np.hstack([np.zeros((4, 1)), ahead])
    start, end = np.triu_indices(len(run) + 1, k=1) if run else ([0], [0])
    n, total, squares, uncertainty = ahead[:, end] - ahead[:, start] + always
    degrees = PRIOR_BOARDS + n - 1
    centre = total / n
    deviations = np.maximum(squares - n * centre**2, 0.0)
    variance = (PRIOR_BOARDS * spread**2 + deviations) / degrees
    scale = np.sqrt(variance * (1 + 1 / n) + uncertainty / n)
    centre = centre + origin
    below = 0.0 if low is None else stdtr(degrees, (low - centre) / scale)
    above = 0.0 if high is None else stdtr(degrees, (centre - high) / scale)
    return min(float(np.min(below + above)), 1.0)
