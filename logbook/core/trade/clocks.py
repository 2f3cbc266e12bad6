"""Clocks that need whole numbers: baud rates and audio clocks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from logbook.core.errors import FormulaError

AUDIO_RATES_HZ = (32_000, 44_100, 48_000, 88_200, 96_000, 176_400, 192_000)  # AES5-2018, IEC 60958 (memory)


@dataclass(frozen=True, slots=True)
class BaudSetting:
    """Nearest whole divisor of a serial port.

    Parameters
    ----------
    divisor : int
        1 or more.
    actual_bd : float
        Baud rate it gives.
    error_percent : float
        Against the wanted one.
    """

    divisor: int
    actual_bd: float
    error_percent: float

    def __post_init__(self) -> None:
        if self.divisor < 1:
            raise FormulaError("A divisor is 1 or more.", given=str(self.divisor), where="divisor")


def baud_setting(clock_hz: float, oversampling: int, baud: float) -> BaudSetting:
    """Choose the whole divisor of a serial port for a baud rate.

    Parameters
    ----------
    clock_hz : float
        Clock of the port in hertz, above 0.
    oversampling : int
        Samples for each bit, such as 16 or 8, above 0.
    baud : float
        Wanted rate, above 0.

    Returns
    -------
    BaudSetting
        Nearest divisor; halves go up.

    Raises
    ------
    FormulaError
        When a number is not finite or not above 0.

    References
    ----------
    Common practice.

    Examples
    --------
    >>> baud_setting(11_059_200, 16, 115_200)
    BaudSetting(divisor=6, actual_bd=115200.0, error_percent=0.0)
    """
    for name, value in (("clock", clock_hz), ("oversampling", oversampling), ("baud", baud)):
        _check_above_zero(name, value)
    divisor = max(1, math.floor(clock_hz / (oversampling * baud) + 0.5))
    actual = clock_hz / (oversampling * divisor)
    return BaudSetting(divisor, actual, (actual / baud - 1) * 100)


def _check_above_zero(name: str, value: float) -> None:
    if not math.isfinite(value) or value <= 0:
        raise FormulaError(f"{name} is above 0.", given=str(value), allowed="above 0", where=name)


def audio_clock_hz(rate_hz: int, factor: int) -> int:
    """Return a master or bit clock: sampling rate times a whole factor.

    Parameters
    ----------
    rate_hz : int
        Sampling rate in hertz, above 0.
    factor : int
        256 or 512 for master clocks, 64 for bit clocks of two 32-bit slots.

    Returns
    -------
    int
        In hertz, exact.

    Raises
    ------
    FormulaError
        When a number is not above 0.

    References
    ----------
    AES5-2018 and IEC 60958 for the rates; common practice for the factors.

    Examples
    --------
    >>> audio_clock_hz(48_000, 256)
    12288000
    """
    _check_above_zero("rate", rate_hz)
    _check_above_zero("factor", factor)
    return rate_hz * factor


def rate_ratio(rate_a_hz: int, rate_b_hz: int) -> Fraction:
    """Return the ratio of two sampling rates as whole numbers.

    Parameters
    ----------
    rate_a_hz, rate_b_hz : int
        In hertz, above 0.

    Returns
    -------
    fractions.Fraction
        a/b in lowest terms.

    Raises
    ------
    FormulaError
        When a rate is not above 0.

    References
    ----------
    AES5-2018.

    Examples
    --------
    >>> str(rate_ratio(48_000, 44_100))
    '160/147'
    """
    _check_above_zero("rate", rate_a_hz)
    _check_above_zero("rate", rate_b_hz)
    return Fraction(rate_a_hz, rate_b_hz)
