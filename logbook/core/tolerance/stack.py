"""A whole tolerance stack-up: nominal, extremes, root sum of squares, simulation and shares."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from logbook.core.errors import ToleranceError
from logbook.core.formulas import Formula, parse_formula
from logbook.core.quantities import Unit, as_unit
from logbook.core.tolerance.extremes import Extreme, extreme_values
from logbook.core.tolerance.linearity import linear_misfit, why_not_linear
from logbook.core.tolerance.monte_carlo import MonteCarlo, simulate
from logbook.core.tolerance.parts import Part
from logbook.core.tolerance.unit_check import UnitCheck, check_units

MOST_PARTS = 100


@dataclass(frozen=True, slots=True)
class Band:
    """Two ends, ``low <= high``, in the unit of the stack-up."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.high:
            raise ToleranceError("A band runs from low to high.", given=f"{self.low} to {self.high}")


@dataclass(frozen=True)
class StackUp:
    """What a formula over parts with tolerances can come to, all values in `unit`.

    Parameters
    ----------
    nominal : float
        With every part at its nominal value.
    extreme : Extreme
        Lowest and highest value over the whole box of bands.
    root_sum_square : Band
        Nominal plus and minus the root of the sum of (sensitivity × half-width)².
    monte_carlo : MonteCarlo
        Rectangular over each band.
    shares : mapping of str to float
        Share of each part in that sum; they add up to 1, or are all 0 where nothing varies.
    sensitivities : mapping of str to float
        Change of the result, in `unit`, for one base unit of the part, at the nominal values.
    linear_half_width : float
        Sum of the sizes of sensitivity × half-width: the first-order worst case.
    misfit : float
        How far the straight line of the root sum of squares misses the extremes, see `linear_misfit`.
    unit : str
        Unit of the result; empty where it is a plain number or none was asked for.
    units : UnitCheck
        Whether the units of the parts were followed through the formula.
    """

    nominal: float
    extreme: Extreme
    root_sum_square: Band
    monte_carlo: MonteCarlo
    shares: Mapping[str, float]
    sensitivities: Mapping[str, float]
    linear_half_width: float
    misfit: float
    unit: str
    units: UnitCheck

    def __post_init__(self) -> None:
        if not math.isfinite(self.nominal) or self.linear_half_width < 0:
            raise ToleranceError("A stack-up has a finite nominal value.", given=str(self.nominal))

    @property
    def linear_problem(self) -> str:
        """Why the root sum of squares is not usable here; empty where it is."""
        return why_not_linear(self.misfit, self.extreme)


def stack_up(
    formula: Formula | str,
    parts: Iterable[Part],
    *,
    unit: Unit | str = "",
    samples: int = 200_000,
    seed: int = 1,
    budget: int | None = None,
) -> StackUp:
    """Compute what a formula over parts with tolerances can come to.

    Parameters
    ----------
    formula : Formula or str
        Over the parts, in base units.
    parts : iterable of Part
        One for each name, at most 100; a part the formula does not name has share 0.
    unit : Unit or str
        Unit the result is written in; the formula is taken to give its base unit.
    samples, seed : int
        Of the simulation, see `simulate`.
    budget : int, optional
        Of the search for the extremes, see `extreme_values`.

    Returns
    -------
    StackUp
        In `unit`.

    Raises
    ------
    FormulaError
        When the formula cannot be read, names a missing part, or has no value within the bands.
    ToleranceError
        When two parts share a name, there are too many, or no finite extreme is found.
    QuantityError
        When the unit is not known.
    UnitMismatchError
        When the units of the parts do not fit together, or not the unit asked for.

    Notes
    -----
    The root sum of squares takes half of high minus low of each part and does not shift the centre for
    asymmetric tolerances. The temperature drift belongs to the band (tolerance times drift, the sign of the
    coefficient being unknown).

    References
    ----------
    JCGM 100:2008, 5.1.2 (sensitivities); JCGM 101:2008 (simulation).

    Examples
    --------
    >>> parts = [Part("vref", 0.6, 0.594, 0.606), Part("rt", 45300, 44847, 45753)]
    >>> parts.append(Part("rb", 10000, 9900, 10100))
    >>> found = stack_up("vref*(1 + rt/rb)", parts, unit="V", samples=10_000)
    >>> round(found.extreme.low, 6), round(found.nominal, 6), round(found.extreme.high, 6)
    (3.231536, 3.318, 3.406638)
    """
    read = parse_formula(formula) if isinstance(formula, str) else formula
    result_unit = as_unit(unit)
    given = _checked(parts)
    nominals = {part.name: part.nominal for part in given}
    checked = check_units(read, {part.name: part.unit for part in given}, result_unit)
    nominal = float(read.evaluate(nominals))
    moving = [part.name for part in given if part.half_width > 0]
    slopes = {name: float(slope) for name, slope in read.gradient(nominals, moving).items()}
    contributions = {part.name: slopes.get(part.name, 0.0) * part.half_width for part in given}
    half_width = math.hypot(*contributions.values())
    scale = float(result_unit.factor)
    extreme = extreme_values(read, given, budget=budget)
    simulated = simulate(read, given, samples=samples, seed=seed)
    return StackUp(
        nominal=nominal / scale,
        extreme=_in_unit(extreme, scale),
        root_sum_square=Band((nominal - half_width) / scale, (nominal + half_width) / scale),
        monte_carlo=_scaled(simulated, scale),
        shares=MappingProxyType(_shares(contributions, half_width)),
        sensitivities=MappingProxyType({part.name: slopes.get(part.name, 0.0) / scale for part in given}),
        linear_half_width=math.fsum(abs(c) for c in contributions.values()) / scale,
        misfit=linear_misfit(nominal, slopes, given, extreme),
        unit=result_unit.symbol,
        units=checked,
    )


def _checked(parts: Iterable[Part]) -> list[Part]:
    given = list(parts)
    names = [part.name for part in given]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice or len(given) > MOST_PARTS:
        raise ToleranceError(
            f"{twice[0]} is given twice." if twice else f"{len(given)} parts are too many.",
            given=", ".join(names)[:40],
            allowed=f"at most {MOST_PARTS} parts of different names",
            where="parts",
        )
    return given


def _shares(contributions: Mapping[str, float], half_width: float) -> dict[str, float]:
    if half_width == 0:
        return dict.fromkeys(contributions, 0.0)
    return {name: (contribution / half_width) ** 2 for name, contribution in contributions.items()}


def _in_unit(extreme: Extreme, scale: float) -> Extreme:
    """Return the extremes in the unit asked for, still rounded outwards."""
    if scale == 1 or extreme.low == extreme.high:
        return replace(extreme, low=extreme.low / scale, high=extreme.high / scale)
    # The factor of the unit (0.001) is itself rounded to binary, so two steps are taken.
    low, high = extreme.low / scale, extreme.high / scale
    for _ in range(2):
        low, high = math.nextafter(low, -math.inf), math.nextafter(high, math.inf)
    return replace(extreme, low=low, high=high)


def _scaled(found: MonteCarlo, scale: float) -> MonteCarlo:
    return replace(
        found,
        low=found.low / scale,
        high=found.high / scale,
        mean=found.mean / scale,
        standard_deviation=found.standard_deviation / scale,
    )
