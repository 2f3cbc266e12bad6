"""The uncertainty of one reading, from the instrument's accuracy and from repeats."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from logbook.core.errors import UncertaintyError
from logbook.core.uncertainty.accuracy import EXACT, Accuracy
from logbook.core.uncertainty.combining import combine
from logbook.core.uncertainty.coverage import LEVEL_OF_TWO, coverage_factor, effective_degrees_of_freedom
from logbook.core.uncertainty.divisors import divisor
from logbook.core.uncertainty.rounding import round_up_significant
from logbook.core.uncertainty.type_a import type_a

# Design rule: U is kept with four digits, rounded up.
DIGITS_OF_U = 4


@dataclass(frozen=True, slots=True)
class Contribution:
    """One line of an uncertainty budget, in the unit of the reading.

    ``degrees_of_freedom`` is None when infinite; ``share`` is the part of the combined variance, 0 to 1.
    """

    name: str
    half_width_or_s: float
    distribution: str
    divisor: float
    standard_uncertainty: float
    degrees_of_freedom: float | None
    share: float


@dataclass(frozen=True, slots=True)
class UncertaintyResult:
    """What is known about a reading, in the unit of the reading.

    ``bound`` is the instrument's own bound; ``effective_degrees_of_freedom`` is None when infinite;
    ``mean`` is None without repeats.
    """

    bound: Decimal
    standard_uncertainty: float
    effective_degrees_of_freedom: float | None
    coverage_factor: float
    expanded_uncertainty: Decimal
    budget: tuple[Contribution, ...]
    mean: Decimal | None
    n: int


def evaluate_reading(
    reading: Decimal,
    accuracy: Accuracy | None,
    *,
    repeats: Sequence[Decimal] = (),
    level: float = LEVEL_OF_TWO,
) -> UncertaintyResult:
    """Evaluate the uncertainty of a reading from its instrument and its repeats.

    Parameters
    ----------
    reading : Decimal
        The reading, finite. With repeats their mean takes its place.
    accuracy : Accuracy or None
        The maker's statement in the unit of the reading; None when nothing is stated.
    repeats : sequence of Decimal, length n, optional
        Two or more repeated readings in the same unit.
    level : float, default 0.9545
        Coverage probability of the expanded uncertainty, between 0 and 1.

    Returns
    -------
    UncertaintyResult
        Bound, budget, combined and expanded uncertainty in the unit of the reading.

    Raises
    ------
    UncertaintyError
        If neither accuracy nor repeats are given, a number is not finite, or there is a single repeat.

    Notes
    -----
    The bound is taken as rectangular. A display step that the bound does not contain adds d / sqrt(12).
    The repeats are taken as independent; their uncertainty is that of the mean.

    References
    ----------
    JCGM 100:2008, 4.2.3, 4.3.7, 5.1.2, F.2.2.1, G.4.1 and 7.2.6.

    Examples
    --------
    >>> meter = Accuracy(percent_of_reading=Decimal("0.05"), counts=Decimal(3), resolution=Decimal("0.001"))
    >>> result = evaluate_reading(Decimal("3.298"), meter)
    >>> result.bound, result.expanded_uncertainty
    (Decimal('0.0046490'), Decimal('0.005369'))
    """
    if accuracy is None and not repeats:
        raise UncertaintyError(
            "Nothing states an uncertainty.", allowed="an accuracy, or two or more repeats", where="accuracy"
        )
    _check_finite(reading, *repeats)
    mean = _mean(repeats) if repeats else None
    bound = Decimal(0) if accuracy is None else accuracy.bound(reading if mean is None else mean)
    lines = [*_instrument_lines(accuracy, bound), *_repeat_lines(repeats)]
    parts = [line.standard_uncertainty for line in lines]
    u = combine(parts)
    nu = effective_degrees_of_freedom(parts, [line.degrees_of_freedom for line in lines])
    k = coverage_factor(level, nu)
    return UncertaintyResult(
        bound=bound,
        standard_uncertainty=u,
        effective_degrees_of_freedom=nu,
        coverage_factor=k,
        expanded_uncertainty=round_up_significant(k * u, DIGITS_OF_U),
        budget=tuple(
            replace(line, share=(line.standard_uncertainty / u) ** 2 if u else 0.0) for line in lines
        ),
        mean=mean,
        n=len(repeats) or 1,
    )


def _instrument_lines(accuracy: Accuracy | None, bound: Decimal) -> list[Contribution]:
    if accuracy is None:
        return []
    lines = []
    if accuracy.bounds_the_reading:
        lines.append(_rectangular("instrument", float(bound)))
    if accuracy.display_step is not None:
        lines.append(_rectangular("resolution", float(accuracy.display_step) / 2))
    return lines


def _rectangular(name: str, half_width: float) -> Contribution:
    by = divisor("rectangular")
    return Contribution(name, half_width, "rectangular", by, half_width / by, None, 0.0)


def _repeat_lines(repeats: Sequence[Decimal]) -> list[Contribution]:
    if not repeats:
        return []
    # Differences are formed in decimal: scatter of a microvolt on 5 V would lose digits as floats.
    scatter = type_a([float(EXACT.subtract(value, repeats[0])) for value in repeats])
    s, u, nu = scatter.standard_deviation, scatter.standard_uncertainty, scatter.degrees_of_freedom
    return [Contribution("repeats", s, "student", math.sqrt(scatter.n), u, float(nu), 0.0)]


def _mean(repeats: Sequence[Decimal]) -> Decimal:
    total = Decimal(0)
    for value in repeats:
        total = EXACT.add(total, value)
    # 28 digits like every default decimal: a third of a volt need not fill a page.
    return total / len(repeats)


def _check_finite(*values: Decimal) -> None:
    for value in values:
        if not value.is_finite():
            raise UncertaintyError(
                f"The reading {value} is not a finite number.",
                given=str(value),
                allowed="a finite number",
                where="reading",
            )
