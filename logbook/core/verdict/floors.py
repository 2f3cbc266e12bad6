"""What a quantity cannot be less than, where only an upper limit is stated."""

from __future__ import annotations

from decimal import Decimal

from logbook.core.limits import Limits


def usual_floor(limits: Limits, value: Decimal) -> Decimal | None:
    """Return 0 where the limits speak of a size: ripple, noise, a shift, a time, a count.

    Parameters
    ----------
    limits : Limits
        Limits of kind "number".
    value : Decimal
        The reading in the unit of the limits.

    Returns
    -------
    Decimal or None
        0, or None where the quantity may well be negative.

    Notes
    -----
    A lone upper limit above 0 in a linear unit bounds a size, as ripple in mV does, unless the reading
    itself is negative or the unit is a temperature. Judgement: the unit alone cannot tell.

    Examples
    --------
    >>> from logbook.core.limits import parse_limits
    >>> usual_floor(parse_limits("<= 20 mV"), Decimal(5)), usual_floor(parse_limits("<= -5 V"), Decimal(-6))
    (Decimal('0'), None)
    """
    unit = limits.unit
    if unit.non_negative:
        return Decimal(0)
    if limits.low is not None or limits.high is None or unit.logarithmic or unit.base == "°C":
        return None
    return Decimal(0) if limits.high > 0 and value >= 0 else None
