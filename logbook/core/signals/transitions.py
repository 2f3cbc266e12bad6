"""Where a wave goes from one state to the other, and how long it takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats, finite_series
from logbook.core.signals.states import StateLevels


@dataclass(frozen=True, slots=True, eq=False)
class Transitions:
    """Transitions of one polarity, in time order.

    Parameters
    ----------
    lower_s, middle_s, upper_s : numpy.ndarray
        Shape (m,), times at which each transition crosses the lower, middle and upper reference level.
    """

    lower_s: Floats
    middle_s: Floats
    upper_s: Floats

    @property
    def durations_s(self) -> Floats:
        """Transition duration of each, seconds."""
        return np.abs(self.upper_s - self.lower_s)


def transitions(
    samples: Any, times_s: Any, levels: StateLevels, percents: tuple[float, float] = (10.0, 90.0)
) -> tuple[Transitions, Transitions]:
    """Find the rising and the falling transitions.

    Parameters
    ----------
    samples, times_s : array_like
        Shape (n,), the wave and its strictly increasing times in seconds.
    levels : StateLevels
        The two states, low below high.
    percents : tuple of float
        Lower and upper reference level in percent of the amplitude; 0 < lower < 50 < upper < 100.

    Returns
    -------
    tuple of Transitions
        Rising, falling. A wave that turns back before the far reference level has made no transition, so
        ringing and noise smaller than the reference levels are not counted.

    Raises
    ------
    SignalError
        When the reference levels are out of order or the arrays do not fit.

    References
    ----------
    IEEE Std 181-2011, 5.3 (reference levels and transition duration; from memory).

    Examples
    --------
    >>> rising, _ = transitions([0, 0, 1, 2, 3, 3], [0, 1, 2, 3, 4, 5], StateLevels(0, 3))
    >>> round(float(rising.durations_s[0]), 6)
    2.4
    """
    lower, upper = percents
    values, times = finite_series(samples, "samples", at_least=2), finite_series(times_s, "times", at_least=2)
    if not 0 < lower < 50 < upper < 100 or levels.low >= levels.high or values.size != times.size:
        raise SignalError(
            "The reference levels are out of order.",
            given=f"{lower}, {upper}",
            allowed="0 < lower < 50 < upper < 100",
        )
    amplitude = levels.high - levels.low
    marks = tuple(levels.low + amplitude * share / 100 for share in (lower, 50, upper))
    rising = _rising(values, times, *marks)
    falling = _rising(-values, times, -marks[2], -marks[1], -marks[0])
    return rising, Transitions(falling.upper_s, falling.middle_s, falling.lower_s)


def _rising(values: Floats, times: Floats, lower: float, middle: float, upper: float) -> Transitions:
    states = np.where(values >= upper, 1, np.where(values <= lower, -1, 0)).astype(np.int8)
    settled = np.flatnonzero(states)
    turns = np.flatnonzero((states[settled[:-1]] < 0) & (states[settled[1:]] > 0))
    starts, ends = settled[turns], settled[turns + 1]
    below_middle = np.maximum.accumulate(np.where(values <= middle, np.arange(values.size), 0))
    crossings = below_middle[np.maximum(ends - 1, 0)] if ends.size else ends
    return Transitions(
        _crossing(values, times, starts, lower),
        _crossing(values, times, crossings, middle),
        _crossing(values, times, ends - 1, upper),
    )


def _crossing(values: Floats, times: Floats, before: Any, level: float) -> Floats:
    """Time at which the straight line from sample `before` to the next one meets the level."""
    left, right = values[before], values[before + 1]
    share = (level - left) / (right - left)
    crossed: Floats = times[before] + share * (times[before + 1] - times[before])
    return crossed
