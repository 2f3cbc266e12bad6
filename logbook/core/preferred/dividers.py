"""Resistors of a divider from preferred values, for an output of v_ref × (1 + top/bottom)."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from logbook.core.errors import PreferredValueError
from logbook.core.preferred.nearest import nearest_value
from logbook.core.preferred.series import series_values, usual_tolerance_percent
from logbook.core.quantities import EXACT, decimal_of

Number = Decimal | int | float | str

MOST_DECADES = 9
MOST_PAIRS = 50
_USUAL_TOTAL: tuple[Number, Number] = (1_000, 1_000_000)


@dataclass(frozen=True, slots=True)
class DividerPair:
    """Two resistors of a divider and what they give.

    Parameters
    ----------
    top, bottom : decimal.Decimal
        From the output to the tap and from the tap to ground, in ohm.
    output : float
        v_ref × (1 + top/bottom), in the unit of the voltages.
    error_percent : float
        Of the output against the wanted one.
    low, high : float
        Band of the output over the tolerances of both resistors, v_ref being exact.
    """

    top: Decimal
    bottom: Decimal
    output: float
    error_percent: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if self.top <= 0 or self.bottom <= 0 or not self.low <= self.output <= self.high:
            raise PreferredValueError("A divider has two resistors.", given=f"{self.top}, {self.bottom}")


@dataclass(frozen=True, slots=True)
class TopResistor:
    """The upper resistor for a given lower one.

    Parameters
    ----------
    ideal : decimal.Decimal
        Value wanted, in ohm.
    top : decimal.Decimal
        Nearest member of the series.
    output : float
        What it gives, in the unit of the voltages.
    error_percent : float
        Of the output against the wanted one.
    """

    ideal: Decimal
    top: Decimal
    output: float
    error_percent: float

    def __post_init__(self) -> None:
        if self.ideal <= 0 or self.top <= 0:
            raise PreferredValueError("A resistance is above 0.", given=str(self.top), where="top")


def _ratio(v_out: Number, v_ref: Number) -> tuple[Decimal, Decimal]:
    out, ref = decimal_of(v_out, where="v_out"), decimal_of(v_ref, where="v_ref")
    if not 0 < ref < out:
        raise PreferredValueError(
            "The output of a divider is above its reference voltage, and both are above 0.",
            given=f"{v_out} from {v_ref}"[:60],
            allowed="0 < v_ref < v_out; a ratio of 1/4 is 4 to 1",
            where="v_out",
        )
    return out, ref


def top_resistor(v_out: Number, v_ref: Number, bottom: Number, series: str) -> TopResistor:
    """Choose the upper resistor of a divider whose lower one is given.

    Parameters
    ----------
    v_out, v_ref : decimal.Decimal, int, float or str
        Wanted output and voltage at the tap, one unit, ``0 < v_ref < v_out``.
    bottom : decimal.Decimal, int, float or str
        Lower resistor in ohm, above 0.
    series : str
        E3 to E192.

    Returns
    -------
    TopResistor
        Nearest by ratio.

    Raises
    ------
    PreferredValueError
        When a value is out of range or there is no such series.

    References
    ----------
    Feedback-divider law Vout = Vref(1 + Rtop/Rbot), common practice; IEC 60063:2015.

    Examples
    --------
    >>> found = top_resistor("3.3", "0.8", 10_000, "E96")
    >>> int(found.top), found.output
    (31600, 3.328)
    """
    out, ref = _ratio(v_out, v_ref)
    lower = decimal_of(bottom, where="bottom")
    ideal = EXACT.multiply(lower, EXACT.subtract(EXACT.divide(out, ref), Decimal(1)))
    top = nearest_value(EXACT.create_decimal(f"{ideal:.30e}").normalize(), series).nearest
    output = _output(ref, top, lower)
    return TopResistor(ideal, top, float(output), _error_percent(output, out))


def _output(ref: Decimal, top: Decimal, bottom: Decimal) -> Decimal:
    return EXACT.multiply(ref, EXACT.add(Decimal(1), EXACT.divide(top, bottom)))


def _error_percent(output: Decimal, wanted: Decimal) -> float:
    return float(EXACT.multiply(EXACT.subtract(EXACT.divide(output, wanted), Decimal(1)), Decimal(100)))


def best_divider_pairs(
    v_out: Number,
    v_ref: Number = 1,
    *,
    series_top: str = "E96",
    series_bottom: str | None = None,
    total_range: tuple[Number, Number] = _USUAL_TOTAL,
    tolerance_percent: Number | None = None,
    count: int = 5,
) -> list[DividerPair]:
    """Search both resistors of a divider and list the best pairs.

    Parameters
    ----------
    v_out, v_ref : decimal.Decimal, int, float or str
        Wanted output and voltage at the tap in one unit, ``0 < v_ref < v_out``; or their ratio and 1.
    series_top, series_bottom : str
        E3 to E192; the lower resistor has the series of the upper one when left out.
    total_range : tuple of two numbers
        Smallest and largest sum of both, in ohm, at most nine decades apart.
    tolerance_percent : number, optional
        Of both resistors; the usual one of each series when left out.
    count : int
        How many to list, 1 to 50.

    Returns
    -------
    list of DividerPair
        Smallest error first. Pairs that differ by a power of ten appear once, with the total nearest to the
        middle (by ratio) of the range.

    Raises
    ------
    PreferredValueError
        When a value is out of range, there is no such series, or E3 is used without a tolerance.

    References
    ----------
    Feedback-divider law Vout = Vref(1 + Rtop/Rbot), common practice; IEC 60063:2015.

    Examples
    --------
    >>> best = best_divider_pairs("3.3", "0.6")[0]
    >>> int(best.top), int(best.bottom), round(best.error_percent, 3)
    (11500, 2550, 0.178)
    """
    out, ref = _ratio(v_out, v_ref)
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST_PAIRS:
        raise _refused("The number of pairs is out of range", count, f"1 to {MOST_PAIRS}", "count")
    bottom_series = series_bottom or series_top
    shares = [_share(tolerance_percent, series) for series in (series_top, bottom_series)]
    pairs = _search(float(out) / float(ref) - 1, series_top, bottom_series, _totals(total_range), count)
    return [_pair(top, bottom, out, ref, shares) for top, bottom in pairs]


def _refused(reason: str, given: object, allowed: str, where: str) -> PreferredValueError:
    return PreferredValueError(f"{reason}.", given=str(given)[:40], allowed=allowed, where=where)


def _share(tolerance_percent: Number | None, series: str) -> Decimal:
    usual = usual_tolerance_percent(series)
    percent = usual if tolerance_percent is None else decimal_of(tolerance_percent, where="tolerance")
    if percent is None or not 0 <= percent < 100:
        raise _refused("A tolerance is missing or out of range", percent, "0 to below 100 %", "tolerance")
    return EXACT.divide(percent, Decimal(100))


def _totals(total_range: tuple[Number, Number]) -> tuple[float, float]:
    low, high = (float(decimal_of(total, where="total")) for total in total_range)
    if not 0 < low <= high or high / low > 10**MOST_DECADES:
        allowed = f"0 < low <= high, at most {MOST_DECADES} decades apart"
        raise _refused("The range of the total resistance is impossible", total_range, allowed, "total")
    return low, high


def _members(series: str, low: float, high: float) -> list[Decimal]:
    first, last = int(np.floor(np.log10(low))), int(np.ceil(np.log10(high)))
    digits = series_values(series)
    places = len(str(digits[0])) - 1
    found = [Decimal(d).scaleb(decade - places) for decade in range(first, last + 1) for d in digits]
    return [value for value in found if low <= value <= high]


def _search(
    wanted: float, series_top: str, series_bottom: str, totals: tuple[float, float], count: int
) -> list[tuple[Decimal, Decimal]]:
    """Look at every pair of the range; return the best, each proportion once."""
    low, high = totals
    # The smaller of the two may lie far below the total.
    least = low / (2 * (1 + max(wanted, 1 / wanted)))
    tops, bottoms = _members(series_top, least, high), _members(series_bottom, least, high)
    top, bottom = np.array([float(t) for t in tops]), np.array([float(b) for b in bottoms])
    total = top[:, None] + bottom[None, :]
    ratio = top[:, None] / bottom[None, :]
    error = np.where((total >= low) & (total <= high), np.abs(ratio - wanted), np.inf)
    order = np.lexsort(
        (np.abs(np.log(total / np.sqrt(low * high))).ravel(), np.round(error / wanted, 12).ravel())
    )
    seen: dict[tuple[str, str], tuple[Decimal, Decimal]] = {}
    for place in order:
        i, j = divmod(int(place), len(bottoms))
        if len(seen) == count or not np.isfinite(error[i, j]):
            break
        proportion = str(tops[i].normalize().as_tuple().digits), str(bottoms[j].normalize().as_tuple().digits)
        seen.setdefault(proportion, (tops[i], bottoms[j]))
    return list(seen.values())


def _pair(top: Decimal, bottom: Decimal, out: Decimal, ref: Decimal, shares: list[Decimal]) -> DividerPair:
    one = Decimal(1)
    output = _output(ref, top, bottom)
    low = _output(ref, top * (one - shares[0]), bottom * (one + shares[1]))
    high = _output(ref, top * (one + shares[0]), bottom * (one - shares[1]))
    return DividerPair(top, bottom, float(output), _error_percent(output, out), float(low), float(high))
