"""Whether the straight line behind the root sum of squares is near enough to the formula."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from logbook.core.tolerance.extremes import Extreme
from logbook.core.tolerance.parts import Part

# Judgement: 20 % capacitors in an RC corner (1/0.8 against 1.2, a miss of a quarter) are still taken.
MOST_OFF = 0.3


def linear_misfit(
    nominal: float, slopes: Mapping[str, float], parts: Sequence[Part], extreme: Extreme
) -> float:
    """Return how far the straight line through the nominal misses the extremes.

    Parameters
    ----------
    nominal : float
        Value of the formula at the nominal values, in base units.
    slopes : mapping of str to float
        Partial derivatives there, in base units; a part left out has slope 0.
    parts : sequence of Part
        Parts with their bands.
    extreme : Extreme
        Of the formula over the bands, in base units.

    Returns
    -------
    float
        Larger distance between an end of the straight line's own worst case and the true one, as a share of
        the half-width of that worst case; 0 where nothing varies, infinite where the line is flat and the
        formula is not.

    Notes
    -----
    The straight line's worst case adds the larger product of slope and deviation of every part up, so parts
    with unequal tolerances on both sides do not count as curvature.

    References
    ----------
    JCGM 100:2008, 5.1.2, note: where the formula is significantly not linear, higher-order terms belong to
    the uncertainty, so the root sum of squares alone does not hold.

    Examples
    --------
    >>> part = Part("x", 1.0, 0.5, 1.5)
    >>> round(linear_misfit(1.0, {"x": -1.0}, [part], Extreme(2 / 3, 2.0, exact=True)), 3)
    1.0
    """
    low = high = nominal
    for part in parts:
        ends = [slopes.get(part.name, 0.0) * (end - part.nominal) for end in part.band]
        low, high = low + min(ends), high + max(ends)
    half_width = (high - low) / 2
    missed = max(abs(low - extreme.low), abs(high - extreme.high))
    # The extremes are right to 1e-9 of themselves only.
    if missed <= 2e-9 * max(abs(extreme.low), abs(extreme.high)):
        return 0.0
    return missed / half_width if half_width > 0 else math.inf


def why_not_linear(misfit: float, extreme: Extreme) -> str:
    """Say why the root sum of squares is not usable.

    Parameters
    ----------
    misfit : float
        See `linear_misfit`.
    extreme : Extreme
        What it was held against.

    Returns
    -------
    str
        One clause without a full stop; empty where it is usable.

    Examples
    --------
    >>> why_not_linear(0.06, Extreme(1.0, 2.0, exact=True))
    ''
    """
    if misfit <= MOST_OFF:
        return ""
    if not extreme.exact:
        return (
            "the extremes are only enclosed, so nothing shows that the formula is near a straight line "
            "within the bands"
        )
    if math.isinf(misfit):
        return "the formula has no slope at the nominal values, yet varies within the bands"
    return (
        f"the formula is too curved within the bands: its straight line misses an extreme by "
        f"{100 * misfit:.0f} % of its own half-width (at most {100 * MOST_OFF:.0f} % is taken)"
    )
