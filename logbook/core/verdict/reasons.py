"""The one line under a verdict that a person can check."""

from __future__ import annotations

from collections.abc import Callable
from decimal import ROUND_DOWN, Context, Decimal

from logbook.core.limits import Limits, format_limits
from logbook.core.quantities import EXACT, Unit, convert, format_quantity, without_trailing_zeros
from logbook.core.quantities.units import engineering_family, find_unit
from logbook.core.verdict.verdicts import Verdict

_SHORT = Context(prec=2, rounding=ROUND_DOWN)
_MOST_DIGITS = 6
_FAR_APART = 100
_SIX_DIGITS = Context(prec=_MOST_DIGITS)


def explain(
    limits: Limits,
    margin: Decimal,
    verdict: Verdict,
    expanded_uncertainty: Decimal | None,
    rule: str,
    *,
    decidable: bool,
    would_do: Decimal | None,
) -> str:
    """Say in one line why a reading has its verdict.

    Parameters
    ----------
    limits : Limits
        The limits it was judged by.
    margin : Decimal
        Distance to the nearest limit in the unit of the limits, negative outside.
    verdict : Verdict
        The verdict.
    expanded_uncertainty : Decimal or None
        U in the unit of the limits; None when nothing is stated.
    rule : str
        The rule applied, "guarded" or "simple".
    decidable : bool
        Whether any reading with this uncertainty could pass.
    would_do : Decimal or None
        The expanded uncertainty that would do, in the unit of the limits.

    Returns
    -------
    str
        The reason, without a full stop.
    """
    write = _writer(limits.unit, margin, expanded_uncertainty)
    place = _place(limits, margin, write)
    if expanded_uncertainty is None:
        return f"{place}; no stated uncertainty: judged by simple acceptance"
    if rule == "simple":
        return f"{place}; judged by simple acceptance"
    reason = place + _beside_uncertainty(margin, verdict, expanded_uncertainty, write)
    return reason if decidable else f"{reason}; {_undecidable(limits.unit, expanded_uncertainty, would_do)}"


Writer = Callable[[Decimal], str]


def _writer(unit: Unit, *values: Decimal | None) -> Writer:
    """Return how to write the lengths of one sentence: with one prefix, unless they lie far apart."""
    sizes = [value.copy_abs() for value in values if value]
    if unit.logarithmic or not sizes or max(sizes) > _FAR_APART * min(sizes):
        return lambda value: _shown(value, unit)
    prefixed = _unit_for(max(sizes), unit)
    if prefixed is None:
        return lambda value: _shown(value, unit)
    return lambda value: f"{_short(convert(value, unit, prefixed))} {prefixed.symbol}".rstrip()


def _unit_for(size: Decimal, unit: Unit) -> Unit | None:
    """Return the unit with the prefix in which a size is shown."""
    return find_unit(_prefixed(size, unit).symbol)


def _prefixed(size: Decimal, unit: Unit) -> Unit:
    """Return the largest unit of the family that is no larger than the size, as it is shown."""
    family = engineering_family(unit)
    if len(family) < 2:
        return unit
    # Rounded as `_shown` does, for a carry such as 999.9996 to 1000 takes the next prefix.
    in_base = EXACT.multiply(_SIX_DIGITS.plus(size), unit.factor)
    largest = family[0]
    for member in family:
        if member.factor > in_base:
            break
        largest = member
    return largest


def _short(value: Decimal) -> str:
    """Write a number with up to six digits, without the zeros at its end."""
    return f"{_SIX_DIGITS.normalize(value):f}"


def _place(limits: Limits, margin: Decimal, write: Writer) -> str:
    if margin == 0:
        return f"exactly on a limit of {format_limits(limits)}"
    side = "inside" if margin > 0 else "outside"
    return f"{side} {format_limits(limits)} by {write(margin.copy_abs())}"


def _beside_uncertainty(margin: Decimal, verdict: Verdict, expanded: Decimal, write: Writer) -> str:
    if verdict in {Verdict.CONDITIONAL_PASS, Verdict.CONDITIONAL_FAIL}:
        return f", but within its uncertainty of {write(expanded)} of the limit"
    if expanded == 0 or margin == 0:
        return ""
    return f", {_times(margin.copy_abs() / expanded)} the uncertainty U = {write(expanded)}"


def _times(ratio: Decimal) -> str:
    """Never rounded up: 1.99 times is not twice."""
    if ratio >= 1000:
        return "more than 1000 times"
    shown = ratio.to_integral_value(ROUND_DOWN) if ratio >= 10 else _SHORT.plus(ratio)
    return "once" if shown == 1 else f"{EXACT.normalize(shown):f} times"


def _undecidable(unit: Unit, expanded: Decimal, would_do: Decimal | None) -> str:
    no_reading = f"undecidable: with an uncertainty of {_shown(expanded, unit)} no reading could pass"
    if would_do is None:
        return f"{no_reading}, nor with any other"
    return f"{no_reading}; {_shown(would_do, unit)} or less would do"


def _shown(value: Decimal, unit: Unit) -> str:
    short = without_trailing_zeros(value)
    # Two levels in dBm differ by decibels, not by a level of so many dBm.
    of_difference = "dB" if unit.logarithmic else unit
    is_long = len(short.as_tuple().digits) > _MOST_DIGITS
    return format_quantity(short, of_difference, digits=_MOST_DIGITS if is_long else None)
