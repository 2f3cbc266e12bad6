"""Values that look mistyped: a thousand times off, or of the other sign."""

from __future__ import annotations

from decimal import Decimal

from logbook.core.limits.limits import Limits

# Between a third and three times: a value that far off fails, but it is one somebody may have read.
_NEAR = Decimal(3)
_FACTORS = {
    Decimal(1_000): "about a thousand times",
    Decimal(1_000_000): "about a million times",
    Decimal("0.001"): "about a thousandth of",
    Decimal("0.000001"): "about a millionth of",
}


def slip_in(value: Decimal, limits: Limits) -> str:
    """Say how a value looks mistyped beside what is asked, as a prefix left out or a lead held the wrong way.

    Parameters
    ----------
    value : decimal.Decimal
        In the unit of the limits.
    limits : Limits
        Of a number. Without a nominal and with one bound only nothing is known of the size to expect.

    Returns
    -------
    str
        Such as ``about a thousand times``, to go before the value asked; empty where nothing looks wrong: for
        a value inside the limits, counts, answers, levels in decibel and limits around 0.

    Examples
    --------
    >>> from logbook.core.limits import parse_limits
    >>> slip_in(Decimal(3298), parse_limits("3.3 V ± 2 %"))
    'about a thousand times'
    """
    typical = _typical(limits)
    if not typical or limits.unit.logarithmic or _is_inside(value, limits):
        return ""
    ratio = value / typical
    if _is_near(-ratio):
        return "of the other sign than"
    return next((words for factor, words in _FACTORS.items() if _is_near(ratio / factor)), "")


def _typical(limits: Limits) -> Decimal | None:
    if limits.kind != "number":
        return None
    if limits.nominal is not None:
        return limits.nominal
    if limits.low is None or limits.high is None or limits.low * limits.high <= 0:
        return None
    return (limits.low + limits.high) / 2


def _is_inside(value: Decimal, limits: Limits) -> bool:
    above = limits.low is None or value >= limits.low
    return above and (limits.high is None or value <= limits.high)


def _is_near(ratio: Decimal) -> bool:
    return 1 / _NEAR <= ratio <= _NEAR
