"""Closed forms of first- and second-order responses, for comparing a capture with its circuit."""

from __future__ import annotations

import math

from logbook.core.errors import SignalError
from logbook.core.signals.arrays import positive


def first_order_transition(tau_s: float, low_percent: float = 10.0, high_percent: float = 90.0) -> float:
    """Transition duration of a first-order step.

    Parameters
    ----------
    tau_s : float
        Time constant, seconds, above 0.
    low_percent, high_percent : float
        Reference levels, 0 < low < high < 100.

    Returns
    -------
    float
        Seconds; ln 9 times tau for 10 to 90 %.

    Raises
    ------
    SignalError
        When tau or the levels are impossible.

    References
    ----------
    IEEE Std 181-2011 (reference levels); first-order response.
    """
    if not 0 < low_percent < high_percent < 100:
        raise SignalError("The reference levels are out of order.", given=f"{low_percent}, {high_percent}")
    return positive(tau_s, "time constant") * math.log((100 - low_percent) / (100 - high_percent))


def rise_time_of_bandwidth(bandwidth_hz: float) -> float:
    """10 to 90 % rise time of a first-order bandwidth (the 0.35 rule, unrounded).

    Parameters
    ----------
    bandwidth_hz : float
        Above 0.

    Returns
    -------
    float
        Seconds.

    Raises
    ------
    SignalError
        When the bandwidth is not above 0.

    Examples
    --------
    >>> round(rise_time_of_bandwidth(1e6) * 1e9, 3)
    349.699
    """
    return math.log(9) / (2 * math.pi * positive(bandwidth_hz, "bandwidth"))


def overshoot_of_damping(damping: float) -> float:
    """Overshoot of a second-order step in percent.

    Parameters
    ----------
    damping : float
        Damping ratio, 0 to below 1.

    Returns
    -------
    float
        Percent of the step.

    Raises
    ------
    SignalError
        When the damping is outside that range.
    """
    if not 0 <= damping < 1:
        raise SignalError("The damping ratio is 0 to below 1.", given=str(damping), where="damping")
    return 100 * math.exp(-math.pi * damping / math.sqrt(1 - damping * damping))


def damping_of_overshoot(overshoot_percent: float) -> float:
    """Damping ratio of a second-order step from its overshoot.

    Parameters
    ----------
    overshoot_percent : float
        Above 0, up to 100.

    Returns
    -------
    float
        Damping ratio.

    Raises
    ------
    SignalError
        When the overshoot is outside that range.
    """
    if not 0 < overshoot_percent <= 100:
        raise SignalError(
            "The overshoot is above 0 and up to 100 %.", given=str(overshoot_percent), where="overshoot"
        )
    log = math.log(overshoot_percent / 100)
    return -log / math.hypot(math.pi, log)


def average_meter_error(mean_absolute: float, rms: float) -> float:
    """Error of an average-responding meter calibrated for sines, in percent.

    Parameters
    ----------
    mean_absolute : float
        Mean of the rectified wave, 0 or more.
    rms : float
        Its rms in the same unit, above 0.

    Returns
    -------
    float
        Percent of the true rms.

    Raises
    ------
    SignalError
        When the rms is not above 0 or the mean is negative.
    """
    if not mean_absolute >= 0:
        raise SignalError(
            "The mean of a rectified wave is 0 or more.", given=str(mean_absolute), where="mean"
        )
    return 100 * (math.pi / (2 * math.sqrt(2)) * mean_absolute / positive(rms, "rms") - 1)
