"""Monte Carlo over the bands of the parts, each rectangular and independent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.core.errors import ToleranceError
from logbook.core.formulas import Formula
from logbook.core.tolerance.parts import Part

_CHUNK = 16_384  # stays in the cache; whole arrays are slower
FEWEST_SAMPLES, MOST_SAMPLES = 1_000, 2_000_000
LARGEST_SEED = 2**63 - 1


@dataclass(frozen=True, slots=True)
class MonteCarlo:
    """What a simulation came to.

    Parameters
    ----------
    low, high : float
        Ends of the probabilistically symmetric coverage interval.
    coverage : float
        Share of the values within it, such as 0.95.
    mean, standard_deviation : float
        Of all values.
    samples, seed : int
        With which it can be repeated.
    """

    low: float
    high: float
    coverage: float
    mean: float
    standard_deviation: float
    samples: int
    seed: int

    def __post_init__(self) -> None:
        if not self.low <= self.high:
            raise ToleranceError("An interval runs from low to high.", given=f"{self.low} to {self.high}")


def simulate(
    formula: Formula, parts: Sequence[Part], *, samples: int = 200_000, seed: int = 1, coverage: float = 0.95
) -> MonteCarlo:
    """Draw the parts at random within their bands and describe the values of the formula.

    Parameters
    ----------
    formula : Formula
        Over the parts.
    parts : sequence of Part
        One for each name; rectangular over the band with its temperature drift, independent.
    samples : int
        1,000 to 10,000,000.
    seed : int
        0 or more; the same seed gives the same numbers (PCG64).
    coverage : float
        Share of the values to hold, between 0 and 1.

    Returns
    -------
    MonteCarlo
        In base units.

    Raises
    ------
    ToleranceError
        When samples, seed or coverage are outside their range.
    FormulaError
        When the formula has no value at some draw.

    References
    ----------
    JCGM 101:2008, 6.4.2 (rectangular distribution) and 7.7 (coverage interval).

    Examples
    --------
    >>> from logbook.core.formulas import parse_formula
    >>> found = simulate(parse_formula("a"), [Part("a", 0.5, 0.0, 1.0)], samples=1_000_000)
    >>> round(found.high - found.low, 2), round(found.standard_deviation, 2)
    (0.95, 0.29)
    """
    _check(samples, seed, coverage)
    values = _draw(formula, parts, samples, np.random.Generator(np.random.PCG64(seed)))
    tail = (1 - coverage) / 2
    mean, deviation = float(values.mean()), float(values.std(ddof=1))
    low, high = np.quantile(values, [tail, 1 - tail], overwrite_input=True)
    return MonteCarlo(float(low), float(high), coverage, mean, deviation, samples, seed)


def _check(samples: int, seed: int, coverage: float) -> None:
    for name, value, low, high in (
        ("samples", samples, FEWEST_SAMPLES, MOST_SAMPLES),
        ("seed", seed, 0, LARGEST_SEED),
    ):
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise ToleranceError(
                f"{name} is a whole number from {low} to {high}.",
                given=str(value)[:40],
                allowed=f"{low} to {high}",
                where=name,
            )
    if not 0 < coverage < 1:
        raise ToleranceError(
            "A coverage lies between 0 and 1.", given=str(coverage), allowed="such as 0.95", where="coverage"
        )


def _draw(
    formula: Formula, parts: Sequence[Part], samples: int, generator: np.random.Generator
) -> NDArray[np.float64]:
    used = [part for part in parts if part.name in formula.names]
    fixed = {part.name: part.nominal for part in used if part.half_width == 0}
    moving = [(part.name, part.band[0], 2 * part.half_width) for part in used if part.half_width > 0]
    values = np.empty(samples)
    for start in range(0, samples, _CHUNK):
        size = min(_CHUNK, samples - start)
        drawn = {name: low + width * generator.random(size) for name, low, width in moving}
        values[start : start + size] = formula.evaluate({**fixed, **drawn})
    return values
