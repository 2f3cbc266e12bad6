"""Global risks: how often a product is falsely accepted or falsely rejected before it is measured."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from logbook.core.errors import DecisionError
from logbook.core.verdict.probability import normal_cdf, probability_from_distances

# Ten standard deviations out a normal density is 1e-22 of its peak.
_REACH = 10.0


@dataclass(frozen=True, slots=True)
class GlobalRisks:
    """Probabilities that an item is out and accepted (consumer), or in and rejected (producer)."""

    consumer: float
    producer: float


def global_risks(
    mean: float,
    sigma: float,
    u: float,
    tolerance: tuple[float, float],
    acceptance: tuple[float, float],
) -> GlobalRisks:
    """Return the global consumer's and producer's risk of a normal product.

    Parameters
    ----------
    mean, sigma : float
        Mean and standard deviation of the product, one unit; sigma above 0.
    u : float
        Standard uncertainty of the measurement in that unit, above 0.
    tolerance, acceptance : tuple of float
        Lower and upper limit of the tolerance and of the acceptance interval in that unit.

    Returns
    -------
    GlobalRisks
        Two probabilities, 0 to 1.

    Raises
    ------
    DecisionError
        If sigma or u is not above 0, or an interval is not in order.

    Notes
    -----
    Assumes that both product and measurement error are normal and independent.

    References
    ----------
    JCGM 106:2012, 9.5.2, equations (17) and (19).

    Examples
    --------
    >>> risks = global_risks(0.0, 0.5, 0.125, (-1.0, 1.0), (-1.0, 1.0))
    >>> round(100 * risks.consumer, 1), round(100 * risks.producer, 1)
    (0.8, 1.5)
    """
    _check(sigma, u, tolerance, acceptance)

    def accepted(value: float) -> float:
        to_low, to_high = value - acceptance[0], acceptance[1] - value
        return probability_from_distances(min(to_low, to_high), max(to_low, to_high), u)

    def rejected(value: float) -> float:
        return normal_cdf((acceptance[0] - value) / u) + normal_cdf((value - acceptance[1]) / u)

    def density(value: float) -> float:
        return math.exp(-0.5 * ((value - mean) / sigma) ** 2) / (sigma * math.sqrt(2.0 * math.pi))

    scales = sorted(
        {
            limit + step * u
            for limit in (*tolerance, *acceptance)
            for step in (-_REACH, -3.0, 0.0, 3.0, _REACH)
        }
        | {mean + step * sigma for step in (-_REACH, -3.0, 0.0, 3.0, _REACH)}
    )
    low, high = tolerance
    return GlobalRisks(
        consumer=_integral(lambda v: density(v) * accepted(v), scales[0], low, scales)
        + _integral(lambda v: density(v) * accepted(v), high, scales[-1], scales),
        producer=_integral(lambda v: density(v) * rejected(v), low, high, scales),
    )


def _integral(integrand: Callable[[float], float], start: float, stop: float, scales: list[float]) -> float:
    """Integrate piece by piece, so that no narrow peak lies unseen between the first sampling points."""
    from scipy.integrate import quad

    inner = [start, *(point for point in scales if start < point < stop), stop]
    return math.fsum(quad(integrand, a, b, epsabs=1e-16, epsrel=1e-10)[0] for a, b in pairwise(inner))


def _check(sigma: float, u: float, tolerance: tuple[float, float], acceptance: tuple[float, float]) -> None:
    for name, spread in (("sigma", sigma), ("u", u)):
        if not 0.0 < spread < math.inf:
            raise DecisionError(
                f"{name} is {spread}.", given=str(spread), allowed="a finite number above 0", where=name
            )
    for name, (low, high) in (("tolerance", tolerance), ("acceptance", acceptance)):
        if not -math.inf < low <= high < math.inf:
            raise DecisionError(
                f"The {name} interval runs from {low} to {high}.",
                given=f"{low}, {high}",
                allowed="finite, lower limit first",
                where=name,
            )
