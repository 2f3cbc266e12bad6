"""A verdict with everything that stands behind it, and how it is reached from one number."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from logbook.core.errors import DecisionError, LimitError, UncertaintyError
from logbook.core.limits import Limits
from logbook.core.verdict.probability import probability_from_distances
from logbook.core.verdict.reasons import explain
from logbook.core.verdict.verdicts import Verdict
from logbook.core.verdict.zones import deciding_uncertainty, exact_difference, zone

Rule = Literal["guarded", "simple", "none"]

# U is stated for about 95 % where nothing else is said (ILAC-G8:09/2019, 4.2; JCGM 100:2008, G.6.6).
USUAL_COVERAGE_FACTOR = Decimal(2)


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict on a reading; lengths in ``unit``, the unit of the limits.

    ``verdict`` is None for evidence without a decision. ``margin`` is the distance to the nearest limit,
    negative outside; ``margin_percent`` relates it to half the width of two limits, or to the size of a
    single one. ``deciding_uncertainty`` says, when the reading is not decidable, which expanded
    uncertainty would do; None then means that none would.
    """

    verdict: Verdict | None
    reason: str
    rule: Rule
    low: Decimal | None
    high: Decimal | None
    unit: str
    conformance_probability: float | None = None
    margin: Decimal | None = None
    margin_percent: float | None = None
    test_uncertainty_ratio: float | None = None
    decidable: bool = True
    deciding_uncertainty: Decimal | None = None


def judge_number(
    limits: Limits,
    value: Decimal,
    *,
    expanded_uncertainty: Decimal | None,
    coverage_factor: Decimal | None = None,
    degrees_of_freedom: float | None = None,
    rule: str = "guarded",
    floor: Decimal | None = None,
) -> Judgement:
    """Judge one number against its limits.

    Parameters
    ----------
    limits : Limits
        Limits of kind "number".
    value : Decimal
        The reading in the unit of the limits, finite.
    expanded_uncertainty : Decimal or None
        U in the unit of the limits, 0 or more; None when nothing is stated.
    coverage_factor : Decimal or None
        k of U, above 0; 2 when left out.
    degrees_of_freedom : float or None
        Above 0, for a Student distribution; None for a normal one.
    rule : {"guarded", "simple"}
        Guarded acceptance falls back to simple where no uncertainty is stated, and says so.
    floor : Decimal or None
        Below this the quantity cannot be, in the unit of the limits; 0 for units that know no negative
        values when left out.

    Returns
    -------
    Judgement
        Verdict, reason, probability, margin and decidability, in the unit of the limits.

    Raises
    ------
    LimitError
        If the limits are not limits of a number.
    UncertaintyError
        If U is negative or not finite, k is not above 0, or the degrees of freedom are not above 0.
    DecisionError
        If the value is not finite or the rule is unknown.

    Notes
    -----
    The guard band is w = U. Zones are compared in decimal; the probability is a float.

    References
    ----------
    ILAC-G8:09/2019, 4.2; JCGM 106:2012, 7 and 8.

    Examples
    --------
    >>> from logbook.core.limits import parse_limits
    >>> judge_number(parse_limits("<= 30 mV"), Decimal(29), expanded_uncertainty=Decimal(2)).reason
    'inside ≤ 30 mV by 1 mV, but within its uncertainty of 2 mV of the limit'
    """
    _check(limits, value, rule, expanded_uncertainty, coverage_factor)
    low, high = limits.low, limits.high
    to_low = None if low is None else exact_difference(value, low)
    to_high = None if high is None else exact_difference(high, value)
    applied: Rule = "guarded" if rule == "guarded" and expanded_uncertainty is not None else "simple"
    guard_band = (
        expanded_uncertainty if applied == "guarded" and expanded_uncertainty is not None else Decimal(0)
    )
    margin = to_low if to_high is None or (to_low is not None and to_low <= to_high) else to_high
    assert margin is not None  # noqa: S101 - limits of a number have one
    verdict = zone(margin, guard_band)
    enough = None if applied == "simple" else deciding_uncertainty(low, high, _floor_of(limits, floor))
    decidable = enough is None or guard_band <= enough
    would_do = None if decidable or enough is None or enough < 0 else enough
    ratio, probability = _chances(
        limits, (to_low, to_high), expanded_uncertainty, coverage_factor, degrees_of_freedom
    )
    return Judgement(
        verdict=verdict,
        reason=explain(
            limits, margin, verdict, expanded_uncertainty, applied, decidable=decidable, would_do=would_do
        ),
        rule=applied,
        low=low,
        high=high,
        unit=limits.unit.symbol,
        conformance_probability=probability,
        margin=margin,
        margin_percent=_margin_percent(margin, low, high),
        test_uncertainty_ratio=ratio,
        decidable=decidable,
        deciding_uncertainty=would_do,
    )


def _check(limits: Limits, value: Decimal, rule: str, u: Decimal | None, k: Decimal | None) -> None:
    if limits.kind != "number" or (limits.low is None and limits.high is None):
        raise LimitError(
            f"'{limits.text}' does not limit a number.",
            given=limits.text,
            allowed="limits of a number",
            where="limits",
        )
    if not value.is_finite():
        raise DecisionError(
            f"The reading is {value}.", given=str(value), allowed="a finite number", where="value"
        )
    if rule not in {"guarded", "simple"}:
        raise DecisionError(f"Unknown rule '{rule}'.", given=rule, allowed="guarded, simple", where="rule")
    if u is not None and (not u.is_finite() or u < 0):
        raise UncertaintyError(
            f"The expanded uncertainty is {u}.",
            given=str(u),
            allowed="a finite number, 0 or more",
            where="expanded_uncertainty",
        )
    if k is not None and (not k.is_finite() or k <= 0):
        raise UncertaintyError(
            f"The coverage factor is {k}.",
            given=str(k),
            allowed="a finite number above 0",
            where="coverage_factor",
        )


def _floor_of(limits: Limits, floor: Decimal | None) -> Decimal | None:
    if floor is None and limits.unit.non_negative:
        return Decimal(0)
    return floor


def _chances(
    limits: Limits,
    distances: tuple[Decimal | None, Decimal | None],
    expanded: Decimal | None,
    k: Decimal | None,
    nu: float | None,
) -> tuple[float | None, float | None]:
    """Return test uncertainty ratio and conformance probability, as far as the stated uncertainty allows."""
    if expanded is None:
        return None, None
    to_low, to_high = (float("inf") if one is None else float(one) for one in distances)
    u = float(expanded) / float(k or USUAL_COVERAGE_FACTOR)
    probability = probability_from_distances(min(to_low, to_high), max(to_low, to_high), u, nu)
    if limits.low is None or limits.high is None or u == 0.0:
        return None, probability
    return float(exact_difference(limits.high, limits.low)) / (4 * u), probability


def _margin_percent(margin: Decimal, low: Decimal | None, high: Decimal | None) -> float | None:
    if low is not None and high is not None:
        reference = exact_difference(high, low) / 2
    else:
        reference = abs(high if high is not None else low or Decimal(0))
    return float(100 * margin / reference) if reference else None
