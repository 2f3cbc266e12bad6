"""A band against the limits it has to keep."""

from __future__ import annotations

import math
from dataclasses import dataclass

from logbook.core.errors import ToleranceError

# Bands are rounded outwards by a few units in the last place; a limit met exactly still counts as kept.
_SAME = 1e-13


@dataclass(frozen=True, slots=True)
class Fit:
    """Whether a band lies within limits, and by how much.

    Parameters
    ----------
    inside : bool
        The limits belong to what they limit.
    margin_low, margin_high : float or None
        Distance to each limit, negative where the band exceeds it; None without that limit.
    """

    inside: bool
    margin_low: float | None
    margin_high: float | None

    def __post_init__(self) -> None:
        margins = [margin for margin in (self.margin_low, self.margin_high) if margin is not None]
        if self.inside != all(margin >= 0 for margin in margins):
            raise ToleranceError(
                "A band is inside where no margin is negative.", given=", ".join(map(str, margins))
            )


def fit_within(low: float, high: float, *, limit_low: float | None, limit_high: float | None) -> Fit:
    """Compare a band with limits in the same unit.

    Parameters
    ----------
    low, high : float
        The band, ``low <= high``.
    limit_low, limit_high : float or None
        The limits; one at least.

    Returns
    -------
    Fit
        Margins in the unit of the band; 0 where an end lies on its limit but for rounding.

    Raises
    ------
    ToleranceError
        When the band is reversed or there is no limit.

    Examples
    --------
    >>> fit_within(3.2, 3.4, limit_low=3.0, limit_high=None).inside
    True
    """
    if not low <= high or (limit_low is None and limit_high is None):
        raise ToleranceError(
            "A band from low to high is compared with one limit at least.",
            given=f"{low} to {high}",
            allowed="low <= high",
            where="band",
        )
    margins = (
        None if limit_low is None else _distance(low, limit_low),
        None if limit_high is None else _distance(limit_high, high),
    )
    return Fit(all(margin is None or margin >= 0 for margin in margins), *margins)


def _distance(above: float, below: float) -> float:
    """Return above - below; ends that differ in their last digits only are one end, as both were rounded."""
    return 0.0 if math.isclose(above, below, rel_tol=_SAME) else above - below
