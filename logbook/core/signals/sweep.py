"""Numbers of a frequency sweep; between points the level in dB runs straight over the log of frequency."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import Floats
from logbook.core.signals.captures import Sweep

# Half the power.
HALF_POWER_DB = 10 * math.log10(2)


class Flatness(NamedTuple):
    """Spread of the gain over a band: ``spread_db`` is highest minus lowest."""

    spread_db: float
    lowest_db: float
    lowest_at_hz: float
    highest_db: float
    highest_at_hz: float


class Corners(NamedTuple):
    """Frequencies where the gain has dropped; None where the sweep ends first."""

    lower_hz: float | None
    upper_hz: float | None
    reference_db: float
    drop_db: float


def gain_at(sweep: Sweep, frequency_hz: float) -> float:
    """Gain in dB at a frequency.

    Parameters
    ----------
    sweep : Sweep
        The sweep.
    frequency_hz : float
        Within the sweep.

    Returns
    -------
    float
        dB, interpolated on log frequency.

    Raises
    ------
    SignalError
        When the frequency lies outside the sweep; nothing is extrapolated.
    """
    first, last = float(sweep.frequencies_hz[0]), float(sweep.frequencies_hz[-1])
    if not first <= frequency_hz <= last:
        raise SignalError(
            f"{frequency_hz:g} Hz lies outside the sweep.",
            given=f"{frequency_hz:g}",
            allowed=f"{first:g} Hz to {last:g} Hz",
            where="frequency",
        )
    return float(np.interp(math.log(frequency_hz), np.log(sweep.frequencies_hz), sweep.gains_db))


def flatness(sweep: Sweep, low_hz: float, high_hz: float) -> Flatness:
    """Spread of the gain over a band, its interpolated ends included.

    Parameters
    ----------
    sweep : Sweep
        The sweep.
    low_hz, high_hz : float
        Ends of the band, both within the sweep, low below high.

    Returns
    -------
    Flatness
        dB and hertz.

    Raises
    ------
    SignalError
        When the band is upside down or the sweep does not reach its ends.
    """
    if not low_hz < high_hz:
        raise SignalError("The band is upside down.", given=f"{low_hz:g} to {high_hz:g} Hz", where="band")
    ends = [gain_at(sweep, low_hz), gain_at(sweep, high_hz)]
    inside = (sweep.frequencies_hz > low_hz) & (sweep.frequencies_hz < high_hz)
    frequencies = np.concatenate(([low_hz], sweep.frequencies_hz[inside], [high_hz]))
    gains = np.concatenate((ends[:1], sweep.gains_db[inside], ends[1:]))
    low, high = int(gains.argmin()), int(gains.argmax())
    return Flatness(
        float(gains[high] - gains[low]),
        float(gains[low]),
        float(frequencies[low]),
        float(gains[high]),
        float(frequencies[high]),
    )


def corners(
    sweep: Sweep,
    drop_db: float = HALF_POWER_DB,
    reference_db: float | None = None,
    reference_hz: float | None = None,
) -> Corners:
    """Find the corner frequencies, the first crossings seen from the passband.

    Parameters
    ----------
    sweep : Sweep
        The sweep.
    drop_db : float
        Below the reference, above 0; half the power by default.
    reference_db : float, optional
        Level of the passband; by default the gain at `reference_hz`, or else the highest gain.
    reference_hz : float, optional
        Where the passband is; by default where the gain is highest.

    Returns
    -------
    Corners
        Lower and upper corner; None on a side that never drops.

    Raises
    ------
    SignalError
        When the drop is not above 0, the reference lies outside the sweep or already below the drop.

    References
    ----------
    Common practice: straight line of dB over log frequency between the two points that bracket the drop.
    """
    if not (math.isfinite(drop_db) and drop_db > 0):
        raise SignalError("The drop is above 0 dB.", given=str(drop_db), where="drop")
    logs, gains = np.log(sweep.frequencies_hz), sweep.gains_db
    if reference_hz is None:
        start, at_start = float(logs[gains.argmax()]), float(gains.max())
    else:
        start, at_start = math.log(reference_hz) if reference_hz > 0 else 0.0, gain_at(sweep, reference_hz)
    reference = at_start if reference_db is None else float(reference_db)
    level = reference - drop_db
    if not at_start > level:
        raise SignalError(
            f"The passband stands at {at_start:.3f} dB, below the corner level {level:.3f} dB.",
            where="reference",
        )
    above, below = logs > start, logs < start
    upper = _first_crossing(np.r_[start, logs[above]], np.r_[at_start, gains[above]], level)
    lower = _first_crossing(np.r_[start, logs[below][::-1]], np.r_[at_start, gains[below][::-1]], level)
    return Corners(lower, upper, reference, float(drop_db))


def _first_crossing(logs: Floats, gains: Floats, level: float) -> float | None:
    under = np.flatnonzero(gains <= level)
    if not under.size:
        return None
    after = int(under[0])
    share = (gains[after - 1] - level) / (gains[after - 1] - gains[after])
    return math.exp(float(logs[after - 1] + share * (logs[after] - logs[after - 1])))


def group_delay(sweep: Sweep) -> tuple[Floats, Floats]:
    """Group delay between neighbouring points of the phase.

    Parameters
    ----------
    sweep : Sweep
        With phases; steps of less than 180 degrees, so that they can be unwrapped.

    Returns
    -------
    tuple of numpy.ndarray
        Middle frequencies in hertz and delays in seconds, each of shape (n - 1,).

    Raises
    ------
    SignalError
        When the sweep has no phase.

    Notes
    -----
    Minus the change of phase over the change of angular frequency.

    Examples
    --------
    >>> import numpy as np
    >>> two = Sweep(np.array([1000.0, 1100.0]), np.zeros(2), np.array([-30.0, -48.0]))
    >>> float(round(group_delay(two)[1][0], 9))
    0.0005
    """
    if sweep.phases_deg is None:
        raise SignalError("The sweep has no phase.", allowed="a phase column", where="phase")
    turns = np.unwrap(sweep.phases_deg, period=360) / 360
    middles = (sweep.frequencies_hz[1:] + sweep.frequencies_hz[:-1]) / 2
    return middles, -np.diff(turns) / np.diff(sweep.frequencies_hz)
