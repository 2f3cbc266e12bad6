"""How likely the next board is out of limits, judged from the few boards there are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.core.errors import SampleError
from logbook.core.samples.description import squared_deviations
from logbook.core.samples.inputs import finite_readings, open_share

# Judgement: before the first reading the spread is known as well as two boards would show it.
PRIOR_BOARDS = 2
# Judgement: a design is laid out so that about four standard deviations fit to either limit.
SPREADS_TO_LIMIT = 4.0
# Judgement, where a single limit has no nominal to measure its distance from.
SHARE_OF_BARE_LIMIT = 0.05
DECIBELS_OF_BARE_LIMIT = 1.0

MOSTLY_ASSUMED = "mostly assumed"
FROM_READINGS = "readings"


@dataclass(frozen=True, slots=True)
class Predictive:
    """What the next board is expected to read.

    Parameters
    ----------
    p_out : float
        Probability that it is out of limits, 0 to 1.
    centre, scale : float
        Of its Student distribution, in the unit of the readings.
    degrees_of_freedom : int
        Of the same.
    prior_spread : float
        The spread s₀ assumed before the first reading, in the unit of the readings.
    n : int
        Boards read.
    """

    p_out: float
    centre: float
    scale: float
    degrees_of_freedom: int
    prior_spread: float
    n: int

    @property
    def basis(self) -> str:
        """What the spread rests on, by its degrees of freedom: the assumption, or the readings."""
        return MOSTLY_ASSUMED if self.n - 1 < PRIOR_BOARDS else FROM_READINGS

    def interval(self, content: float = 0.95) -> tuple[float, float]:
        """Interval that holds the next board with a stated probability.

        Parameters
        ----------
        content : float
            Probability, between 0 and 1, both left out.

        Returns
        -------
        tuple of float
            Lower and upper end, in the unit of the readings, centred on the mean.

        Raises
        ------
        SampleError
            When the probability is impossible.

        References
        ----------
        A. Gelman et al., "Bayesian Data Analysis", 3rd edition (2013), chapter 3.

        Examples
        --------
        >>> low, high = Predictive(0.1, 3.3, 0.01, 2, 0.0165, 1).interval()
        >>> round(low, 4), round(high, 4)
        (3.257, 3.343)
        """
        from scipy.special import stdtrit

        reach = self.scale * float(stdtrit(self.degrees_of_freedom, (1 + open_share(content, "content")) / 2))
        return self.centre - reach, self.centre + reach


def predictive_out_of_limits(
    values: Sequence[float],
    uncertainties: Sequence[float | None],
    low: float | None,
    high: float | None,
    *,
    nominal: float | None = None,
    logarithmic: bool = False,
) -> Predictive | None:
    """Predictive probability that the next board reads out of limits.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        Readings, one a board, in one unit.
    uncertainties : sequence of (float or None), shape (n,)
        Their standard uncertainties in the same unit, ≥ 0; None counts as 0.
    low, high : float or None
        Limits in the same unit; None where there is none.
    nominal : float, optional
        What was designed for; used with a single limit.
    logarithmic : bool
        Whether the unit is a level such as dB.

    Returns
    -------
    Predictive or None
        None without a reading, without a limit, or where no prior spread can be stated: limits of no
        width, or a single limit of 0 without nominal.

    Raises
    ------
    SampleError
        When a reading is not finite, an uncertainty is negative, the lists differ in length, or the
        limits are not finite or out of order.

    Notes
    -----
    Normal readings, flat prior on the mean, scaled inverse chi-square prior on the variance worth two
    boards. ν = ν₀ + n − 1, s² = (ν₀ s₀² + Σ(xᵢ − x̄)²) / ν; the next board is Student t with ν degrees
    of freedom about x̄, scale √(s²(1 + 1/n) + ū²), ū² the mean of the squared uncertainties. Works from
    n = 1 on, where it is honestly wide. Poor where boards come from different lots of parts.

    References
    ----------
    A. Gelman et al., "Bayesian Data Analysis", 3rd edition (2013), chapter 3.

    Examples
    --------
    >>> round(predictive_out_of_limits([3.317], [None], 3.234, 3.366).p_out, 4)
    0.1207
    """
    readings = finite_readings(values, at_least=0)
    spreads = _standard_uncertainties(uncertainties, len(readings))
    spread = prior_spread(low, high, nominal=nominal, logarithmic=logarithmic)
    if not readings or spread is None:
        return None
    n = len(readings)
    degrees = PRIOR_BOARDS + n - 1
    centre = math.fsum(readings) / n
    variance = (PRIOR_BOARDS * spread**2 + squared_deviations(readings, centre)) / degrees
    mean_square = math.fsum(u * u for u in spreads) / n
    scale = math.sqrt(variance * (1 + 1 / n) + mean_square)
    p_out = mass_outside(centre, scale, degrees, low, high)
    return Predictive(p_out, centre, scale, degrees, spread, n)


def prior_spread(
    low: float | None, high: float | None, *, nominal: float | None = None, logarithmic: bool = False
) -> float | None:
    """The spread assumed before the first reading, from the limits alone.

    Parameters
    ----------
    low, high : float or None
        Limits in one unit; None where there is none.
    nominal : float, optional
        What was designed for, same unit; used with a single limit.
    logarithmic : bool
        Whether the unit is a level such as dB.

    Returns
    -------
    float or None
        A quarter of the half-width; with a single limit a quarter of its distance from the nominal,
        else 5 % of the limit, or 1 dB. None where that is 0 or there is no limit.

    Raises
    ------
    SampleError
        When the limits are not finite or out of order.

    Notes
    -----
    A judgement, shown wherever its result is.

    Examples
    --------
    >>> round(prior_spread(3.234, 3.366), 4)
    0.0165
    >>> prior_spread(None, 0.0) is None
    True
    """
    _check_limits(low, high, nominal)
    if low is not None and high is not None:
        spread = (high - low) / 2 / SPREADS_TO_LIMIT
    else:
        limit = high if low is None else low
        if limit is None:
            return None
        if nominal is not None:
            spread = abs(limit - nominal) / SPREADS_TO_LIMIT
        else:
            spread = DECIBELS_OF_BARE_LIMIT if logarithmic else abs(limit) * SHARE_OF_BARE_LIMIT
    return spread if spread > 0 else None


def mass_outside(centre: float, scale: float, degrees: int, low: float | None, high: float | None) -> float:
    """Share of a Student distribution that lies outside limits.

    Parameters
    ----------
    centre, scale : float
        In one unit; scale > 0.
    degrees : int
        Degrees of freedom, at least 1.
    low, high : float or None
        Limits in the same unit; None where there is none.

    Returns
    -------
    float
        0 to 1.

    Examples
    --------
    >>> mass_outside(0.0, 1.0, 3, 0.0, None)
    0.5
    """
    from scipy.special import stdtr

    below = 0.0 if low is None else float(stdtr(degrees, (low - centre) / scale))
    above = 0.0 if high is None else float(stdtr(degrees, (centre - high) / scale))
    return min(below + above, 1.0)


def _standard_uncertainties(uncertainties: Sequence[float | None], n: int) -> list[float]:
    if len(uncertainties) != n:
        raise SampleError(
            f"{len(uncertainties)} uncertainties meet {n} readings.",
            given=str(len(uncertainties)),
            allowed=f"{n}, None where unknown",
            where="uncertainties",
        )
    known = [0.0 if u is None else float(u) for u in uncertainties]
    for u in known:
        if not (math.isfinite(u) and u >= 0):
            raise SampleError(
                f"{u} is not an uncertainty.", given=str(u), allowed="0 or more", where="uncertainties"
            )
    return known


def _check_limits(low: float | None, high: float | None, nominal: float | None) -> None:
    given = [value for value in (low, high, nominal) if value is not None]
    out_of_order = low is not None and high is not None and low > high
    if out_of_order or not all(math.isfinite(value) for value in given):
        raise SampleError(
            f"{low} to {high} about {nominal} are no limits.",
            given=f"{low}, {high}, {nominal}",
            allowed="finite limits, low not above high",
            where="limits",
        )
