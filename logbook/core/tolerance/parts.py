"""A part of a formula: nominal value, tolerance band and temperature coefficient."""

from __future__ import annotations

import math
from dataclasses import dataclass

from logbook.core.errors import ToleranceError


@dataclass(frozen=True, slots=True)
class TemperatureRange:
    """Temperatures a part sees, in °C.

    Parameters
    ----------
    low, high : float
        ``low <= high``.
    reference : float
        Temperature the nominal value holds at; 25 °C is common practice.
    """

    low: float
    high: float
    reference: float = 25.0

    def __post_init__(self) -> None:
        if not all(math.isfinite(t) for t in (self.low, self.high, self.reference)) or self.low > self.high:
            raise ToleranceError(
                "A temperature range runs from the lower to the higher temperature.",
                given=f"{self.low} to {self.high}, reference {self.reference}",
                allowed="finite, low not above high",
                where="temperature",
            )

    @property
    def largest_difference_k(self) -> float:
        """Largest distance from the reference, in kelvin."""
        return max(abs(self.low - self.reference), abs(self.high - self.reference))


@dataclass(frozen=True, slots=True)
class Part:
    """One named part of a formula, in its base unit.

    Parameters
    ----------
    name : str
        As in the formula.
    nominal, low, high : float
        Nominal value and its tolerance band at the reference temperature, ``low <= nominal <= high``.
    unit : str
        Base unit; empty for a plain number.
    tempco_ppm_per_k : float
        Size of the temperature coefficient, 0 or more; its sign is taken as unknown.
    temperature : TemperatureRange or None
        Needed where the coefficient is not 0.
    """

    name: str
    nominal: float
    low: float
    high: float
    unit: str = ""
    tempco_ppm_per_k: float = 0.0
    temperature: TemperatureRange | None = None

    def __post_init__(self) -> None:
        if not all(math.isfinite(x) for x in (self.nominal, self.low, self.high, self.tempco_ppm_per_k)):
            raise self._error("has a number that is not finite", "finite numbers")
        if not self.low <= self.nominal <= self.high:
            raise self._error("has its nominal value outside its band", "low <= nominal <= high")
        if self.tempco_ppm_per_k < 0:
            raise self._error("has a negative temperature coefficient", "its size; the sign is unknown")
        if self.tempco_ppm_per_k and self.temperature is None:
            raise self._error("has a temperature coefficient but no temperatures", "low, high, reference")

    def _error(self, reason: str, allowed: str) -> ToleranceError:
        return ToleranceError(
            f"{self.name} {reason}.",
            given=f"{self.low} <= {self.nominal} <= {self.high}",
            allowed=allowed,
            where=self.name,
        )

    @property
    def drift(self) -> float:
        """Largest relative change over the temperatures, 0 or more."""
        if self.temperature is None:
            return 0.0
        return self.tempco_ppm_per_k * 1e-6 * self.temperature.largest_difference_k

    @property
    def band(self) -> tuple[float, float]:
        """Lowest and highest value over tolerance and temperature, multiplied: both at once."""
        drift = self.drift
        return self.low - abs(self.low) * drift, self.high + abs(self.high) * drift

    @property
    def half_width(self) -> float:
        """Half the width of the band."""
        low, high = self.band
        return (high - low) / 2
