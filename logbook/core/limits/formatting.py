"""Writing limits so that they can be read back."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from logbook.core.limits.limits import Limits
from logbook.core.quantities import EXACT, canonical_text


def format_limits(limits: Limits) -> str:
    """Write limits in one line.

    Parameters
    ----------
    limits : Limits
        Any limits.

    Returns
    -------
    str
        Such as ``3.234 … 3.366 V``, ``≤ 20 mV``, ``0 errors``, ``100 of 100``, ``yes``; `parse_limits` reads
        it back as the same bounds unless their digits make it longer than it reads (100 characters).

    Examples
    --------
    >>> from logbook.core.limits import parse_limits
    >>> format_limits(parse_limits("3.3 V ± 5 %"))
    '3.135 … 3.465 V'
    """
    if limits.kind == "yes_no":
        return "yes" if limits.expected else "no"
    if limits.trials is not None:
        return _trials_text(limits)
    if limits.low is not None and limits.high is not None:
        numbers = _range_text(str(limits.low), str(limits.high), is_single=limits.unit.is_count)
    elif limits.low is not None:
        numbers = f"≥ {canonical_text(limits.low)}"
    else:
        numbers = f"≤ {canonical_text(limits.high or Decimal(0))}"
    return f"{numbers} {limits.unit.symbol}".rstrip()


def _trials_text(limits: Limits) -> str:
    """Write n of N; a bound that says nothing (0 or all) is left out."""
    if limits.low == limits.high or limits.high is None or limits.low is None:
        sign = "" if limits.low == limits.high else "≥ " if limits.high is None else "≤ "
        bound = limits.high if limits.low is None else limits.low
        return f"{sign}{canonical_text(bound or Decimal(0))} of {limits.trials}"
    if limits.high == limits.trials:
        return f"≥ {canonical_text(limits.low)} of {limits.trials}"
    if limits.low == 0:
        return f"≤ {canonical_text(limits.high)} of {limits.trials}"
    return f"{canonical_text(limits.low)} … {canonical_text(limits.high)} of {limits.trials}"


@lru_cache(maxsize=4096)
def _range_text(low_text: str, high_text: str, *, is_single: bool) -> str:
    """Write both bounds with equally many decimals, so that they line up in a table.

    Kept by their digits: the reason of every verdict holds them, and equal numbers may differ in digits.
    """
    low, high = Decimal(low_text), Decimal(high_text)
    if is_single and low == high:
        return canonical_text(low)
    last_place = min(int(low.as_tuple().exponent), int(high.as_tuple().exponent), 0)
    place = Decimal((0, (1,), last_place))
    texts = (canonical_text(bound.quantize(place, context=EXACT)) for bound in (low, high))
    return " … ".join(texts)
