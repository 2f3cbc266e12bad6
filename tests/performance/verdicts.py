"""Verdicts on many numbers: against the bare distributions they need, and against one value at a time."""

from __future__ import annotations

import math
import time
from typing import Any

import numpy as np

from tests.performance.table import row
from tests.performance.timing import in_turns, ms

LOW, HIGH, U, K = 3.234, 3.366, 0.004, 2.0
CODES = {"pass": 0, "conditional pass": 1, "conditional fail": 2, "fail": 3}


def verdicts(count: int) -> None:
    """P6a: the product's own function over two bare evaluations of the normal distribution."""
    from scipy.special import ndtr

    from logbook.core.verdict.many import judge_many

    readings = _readings(count)
    found = in_turns(
        lambda: judge_many(LOW, HIGH, readings, U, K),
        lambda: (ndtr((readings - LOW) / (U / K)), ndtr((HIGH - readings) / (U / K))),
        rounds=5,
    )
    what = f"{count:,} verdicts over two normal distributions each"
    row("P6a", what, ms(found.product), ms(found.floor), f"{found.ratio:.1f}", "5")


def against_one_at_a_time(count: int) -> None:
    """P6b: the same classes and probabilities by GTC, a value at a time, and how much longer that takes."""
    from logbook.core.verdict.many import judge_many

    readings = _readings(count)
    many = judge_many(LOW, HIGH, np.repeat(readings, 50), U, K)
    begun = time.perf_counter()
    many = judge_many(LOW, HIGH, np.repeat(readings, 50), U, K)
    each = (time.perf_counter() - begun) / (50 * count)
    begun = time.perf_counter()
    by_value = [_judged_by_gtc(float(reading)) for reading in readings]
    floor = (time.perf_counter() - begun) / count
    row("P6b", "GTC, a value at a time, over one verdict of many", f"{each * 1e9:.0f} ns",
        f"{floor * 1e9:.0f} ns", f"{floor / each:.0f}", ">= 150")  # fmt: skip
    codes = many.verdict_code[::50].tolist()
    other = sum(code != wanted for code, (wanted, _) in zip(codes, by_value, strict=True))
    row("P6b", "verdicts that are not those by GTC", str(other), "0", "", "equal")
    off = max(
        abs(found - wanted) / max(wanted, 1e-300)
        for found, (_, wanted) in zip(many.probability[::50], by_value, strict=True)
    )
    row("P6b", "largest relative difference of probability", f"{off:.1e}", "", f"{off:.1e}", "1e-12")


def _judged_by_gtc(reading: float) -> tuple[int, float]:
    """Judge guarded by U (JCGM 106:2012, 8.3.2) and take the conformance probability (its 7.3)."""
    from GTC import uncertainty, ureal, value  # type: ignore[import-untyped]

    measured = ureal(reading, U / K)
    above, below = value(measured) - LOW, HIGH - value(measured)
    room, guard = min(above, below), K * uncertainty(measured)
    word = ("pass" if room >= guard else "conditional pass") if room >= 0 else ""
    word = word or ("fail" if room < -guard else "conditional fail")
    return CODES[word], _share_between(-above, below, uncertainty(measured))


def _share_between(low: float, high: float, deviation: float) -> float:
    """Return the share of a normal distribution around 0 between two numbers, exact in the far tails."""
    if low > 0:
        low, high = -high, -low
    root = deviation * math.sqrt(2)
    if high < 0:
        return (math.erfc(-high / root) - math.erfc(-low / root)) / 2
    return 1 - (math.erfc(-low / root) + math.erfc(high / root)) / 2


def _readings(count: int) -> Any:
    return np.random.default_rng(1).normal(3.3, 0.03, count)
